import type { Viewer } from './viewer.js';

/** Plays the clip that a rig is posed by, as long as that rig is at hand. */
export interface Player {
  playing(): boolean;
  toggle(): void;
  stop(): void;
}

export function makePlayer(viewer: Viewer, rig: number): Player {
  let [run, on] = [0, false];
  const stop = (): void => {
    run++;
    on = false;
  };
  const start = (): void => {
    const own = ++run;
    on = true;
    let before: number | null = null;
    const step = (now: number): void => {
      const how = viewer.poser.pose(rig);
      const clip = how.kind === 'clip' ? viewer.rigs[rig]?.clips[how.clip] : undefined;
      if (own !== run || viewer.rig() !== rig || how.kind !== 'clip' || clip === undefined) return;
      const seconds = how.seconds + (before === null ? 0 : (now - before) / 1000);
      before = now;
      // Over at the end it starts again; a clip of one key has no length to go through.
      viewer.setPose(rig, { ...how, seconds: clip.duration > 0 ? seconds % clip.duration : 0 });
      requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  };
  return {
    playing: () => on,
    toggle: () => (on ? stop() : start()),
    stop,
  };
}
