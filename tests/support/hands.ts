import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';

export type HandSide = 'left' | 'right';

export const HAND_SIDES: readonly HandSide[] = ['left', 'right'];

/** Path of a generic hand of npm `@webxr-input-profiles/assets`. */
export function handPath(side: HandSide): string {
  const manifest = createRequire(import.meta.url).resolve(
    '@webxr-input-profiles/assets/package.json',
  );
  return join(dirname(manifest), 'dist/profiles/generic-hand', `${side}.glb`);
}

export function handBytes(side: HandSide): Uint8Array {
  return readFileSync(handPath(side));
}
