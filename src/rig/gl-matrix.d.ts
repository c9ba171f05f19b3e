/** One module of gl-matrix by itself: its front door loads all ten, at every start of the command. */
declare module 'gl-matrix/cjs/mat4.js' {
  import type { mat4 } from 'gl-matrix';

  const module: Pick<typeof mat4, 'fromRotationTranslationScale' | 'invert' | 'multiply'>;
  export default module;
}
