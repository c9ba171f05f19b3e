import type { Viewer } from './viewer.js';

/** How long the view is left as a hand has put it. Milliseconds. */
const HAND_MS = 6000;

/** Whether the view may move by itself: not where people chose so, nor right after they moved it. */
export function watchHand(viewer: Viewer, section: HTMLElement) {
  let last = -HAND_MS;
  const touched = (): void => {
    last = performance.now();
  };
  for (const kind of ['pointerdown', 'keydown', 'input']) section.addEventListener(kind, touched);
  section.addEventListener(
    'wheel',
    () => {
      if (document.activeElement === viewer.stage.canvas) touched();
    },
    { passive: true },
  );
  return {
    /** Leaves the view as it is for a while. */
    touched,
    follows: () => viewer.readsAlong() && performance.now() - last > HAND_MS,
  };
}
