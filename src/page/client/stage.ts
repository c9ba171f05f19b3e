import { type PerspectiveCamera, Scene, WebGLRenderer } from 'three';
import { el } from './dom.js';
import { makeEye } from './eye.js';
import { makeSight, type Sight } from './sight.js';

/** The canvas of the view, and the flat one over it. */
export type Stage = NonNullable<ReturnType<typeof makeStage>>;

/** Device pixels a CSS pixel that are drawn; more cost battery and show nothing. */
const MOST_RATIO = 2;

const KEYS =
  'Three-dimensional view of the rig. Arrow keys turn it. With Shift, they move it. Plus and minus zoom in and out. Home shows the whole rig. Escape clears the chosen joint.';

/** Draws the scene into a canvas of so many CSS pixels. */
type Render = (
  renderer: WebGLRenderer,
  scene: Scene,
  camera: PerspectiveCamera,
  size: readonly [width: number, height: number],
) => void;

/** Puts a canvas into `holder`. Null where the browser gives no WebGL. */
export function makeStage(
  holder: HTMLElement,
  over: (context: CanvasRenderingContext2D, sight: Sight) => void,
  render: Render = (renderer, scene, camera) => renderer.render(scene, camera),
) {
  const look = { class: 'view-canvas', tabindex: '0', role: 'application' };
  const canvas = el('canvas', { ...look, 'aria-label': KEYS });
  const context = canvas.getContext('webgl2', { alpha: true, antialias: true });
  const flat = el('canvas', { class: 'view-over', 'aria-hidden': 'true' });
  const pen = flat.getContext('2d');
  if (context === null || pen === null) return null;
  const renderer = new WebGLRenderer({ canvas, context });
  renderer.setClearColor(0x000000, 0);
  const scene = new Scene();
  scene.matrixWorldAutoUpdate = false;
  holder.replaceChildren(canvas, flat);

  let [width, height, waiting, pictures] = [1, 1, false, 0];
  const paint = (): void => {
    waiting = false;
    pictures++;
    render(renderer, scene, eye.camera, [width, height]);
    over(pen, makeSight(eye.camera, width, height));
  };
  const draw = (): void => {
    if (!waiting) requestAnimationFrame(paint);
    waiting = true;
  };
  const eye = makeEye(canvas, draw);
  let size = '';
  const resize = (): void => {
    [width, height] = [Math.max(1, holder.clientWidth), Math.max(1, holder.clientHeight)];
    const ratio = Math.min(MOST_RATIO, devicePixelRatio);
    // Whoever observes a size is told of it at the start, too, where nothing has changed.
    const now = `${width} x ${height}, ${ratio}`;
    if (now === size) return;
    size = now;
    renderer.setPixelRatio(ratio);
    renderer.setSize(width, height, false);
    flat.width = Math.round(width * ratio);
    flat.height = Math.round(height * ratio);
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    eye.resize(width, height);
    // At once: a canvas that was resized is empty until it is painted.
    paint();
  };
  new ResizeObserver(resize).observe(holder);
  resize();
  canvas.addEventListener('webglcontextrestored', draw);
  return {
    canvas,
    /** What the canvas is in. */
    holder,
    scene,
    eye,
    /** Asks for a picture before the next frame is shown; many calls make one picture. */
    draw,
    sight: () => makeSight(eye.camera, width, height),
    /** How many pictures were made. */
    pictures: () => pictures,
  };
}
