import { placeOf } from './live-bones.js';
import type { JointOf } from './overlay.js';
import type { Viewer } from './viewer.js';

/** Radians of one press of an arrow key, and share of the canvas with the shift key. */
const [TURN, SHIFT] = [Math.PI / 24, 0.06];
const ZOOM = 1.15;
/** How near a joint a pointer must be; a finger is blunter. CSS pixels. */
const NEAR = { mouse: 10, touch: 22 } as const;
/** A press that moves farther is a drag. CSS pixels. */
const STILL = 5;

/** As much of a viewer as hands need. */
type Held = Pick<Viewer, 'stage' | 'rigs' | 'look' | 'hover'>;

/** Lets the canvas be used with keys, mouse and fingers, besides turning it by dragging. */
export function takeHands(viewer: Held, choose: (joint: JointOf | null) => void): void {
  const { canvas, eye } = viewer.stage;
  const keys: Readonly<Record<string, (shift: boolean) => void>> = {
    ArrowLeft: (shift) => (shift ? eye.shift(-SHIFT, 0) : eye.turn(-TURN, 0)),
    ArrowRight: (shift) => (shift ? eye.shift(SHIFT, 0) : eye.turn(TURN, 0)),
    ArrowUp: (shift) => (shift ? eye.shift(0, SHIFT) : eye.turn(0, TURN)),
    ArrowDown: (shift) => (shift ? eye.shift(0, -SHIFT) : eye.turn(0, -TURN)),
    '+': () => eye.zoom(1 / ZOOM),
    '=': () => eye.zoom(1 / ZOOM),
    '-': () => eye.zoom(ZOOM),
    Home: () => viewer.look(null),
    Escape: () => choose(null),
  };
  canvas.addEventListener('keydown', (event) => {
    const act = keys[event.key];
    if (act === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    act(event.shiftKey);
  });
  // The wheel scrolls the page: the view takes it only once it was clicked into.
  // A finger scrolls the page as well, until the picture is tapped.
  const take = (taken: boolean): void => {
    eye.setWheel(taken);
    canvas.style.touchAction = taken ? 'none' : 'pan-y';
  };
  take(false);
  canvas.addEventListener('focus', () => take(true));
  canvas.addEventListener('blur', () => take(false));
  let pressed: PointerEvent | null = null;
  canvas.addEventListener('pointerdown', (event) => {
    // A touch may be the start of scrolling; whether it is a tap is known when it ends.
    if (event.pointerType !== 'touch') canvas.focus({ preventScroll: true });
    pressed = event.isPrimary && event.button === 0 ? event : null;
  });
  canvas.addEventListener('pointerup', (event) => {
    if (pressed === null || !event.isPrimary) return;
    const moved = Math.hypot(event.clientX - pressed.clientX, event.clientY - pressed.clientY);
    if (moved <= STILL) canvas.focus({ preventScroll: true });
    const joint = moved <= STILL ? jointNear(viewer, event) : null;
    if (joint !== null) choose(joint);
    pressed = null;
  });
  canvas.addEventListener('pointermove', (event) => {
    if (event.buttons === 0) viewer.hover(jointNear(viewer, event));
  });
  canvas.addEventListener('pointerleave', () => viewer.hover(null));
}

/** The joint whose dot is nearest to a pointer, if one is near. */
function jointNear(viewer: Held, event: PointerEvent): JointOf | null {
  const sight = viewer.stage.sight();
  let best: number = event.pointerType === 'mouse' ? NEAR.mouse : NEAR.touch;
  let nearest: JointOf | null = null;
  viewer.rigs.forEach((live, rig) => {
    live.joints.forEach((_, joint) => {
      const spot = sight.spot(placeOf(live, joint));
      const off = spot === null ? best : Math.hypot(spot.x - event.offsetX, spot.y - event.offsetY);
      if (off < best) [best, nearest] = [off, { rig, joint }];
    });
  });
  return nearest;
}
