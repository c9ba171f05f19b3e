import { button, choice, el, type Group, group, setText, slider } from './dom.js';
import type { Pose } from './pose-bones.js';
import type { Viewer } from './viewer.js';

/** As much of a viewer as clips are played in. */
type Player = Pick<Viewer, 'rigs' | 'rig' | 'pose' | 'setPose'>;

/** Chooses a clip, plays it, and stops it at any time. */
export function clipControls(viewer: Player, rig: number): Group {
  const clips = viewer.rigs[rig]?.clips ?? [];
  const clipStart = (clip: number): Pose => ({ kind: 'clip', clip, seconds: 0 });
  const player = makePlayer(viewer, rig);
  const list = choice('Clip', ['none', ...clips.map(({ name }) => name)], (index) => {
    player.stop();
    viewer.setPose(rig, index === 0 ? { kind: 'rest' } : clipStart(index - 1));
  });
  const play = button('Play', () => {
    // Play without a clip means the first one.
    if (viewer.pose(rig).kind !== 'clip') viewer.setPose(rig, clipStart(0));
    player.toggle();
    update();
  });
  const time = slider('Time', [0, 1, 0.001], (share) => {
    player.stop();
    const pose = viewer.pose(rig);
    if (pose.kind === 'clip')
      viewer.setPose(rig, { ...pose, seconds: share * (clips[pose.clip]?.duration ?? 0) });
  });
  const update = (): void => {
    const pose = viewer.pose(rig);
    const { clip: index, seconds } = pose.kind === 'clip' ? pose : { clip: -1, seconds: 0 };
    if (pose.kind !== 'clip') player.stop();
    list.select.selectedIndex = index + 1;
    setText(play, player.playing() ? 'Pause' : 'Play');
    const clip = clips[index];
    const end = clip?.duration ?? 0;
    time.input.disabled = clip === undefined;
    time.input.value = String(end > 0 ? seconds / end : 0);
    time.say(clip === undefined ? '' : `${seconds.toFixed(2)} s of ${end.toFixed(2)} s`);
  };
  const row = el('div', { class: 'view-row' }, list.field, play);
  return { element: group('Clips', [row, time.field]), update };
}

/** Plays the clip that a rig is posed by, as long as the controls of that rig are shown. */
function makePlayer(viewer: Player, rig: number) {
  let [run, on] = [0, false];
  const stop = (): void => {
    run++;
    on = false;
  };
  const start = (): void => {
    const mine = ++run;
    on = true;
    let before: number | null = null;
    const step = (now: number): void => {
      const pose = viewer.pose(rig);
      const clip = pose.kind === 'clip' ? viewer.rigs[rig]?.clips[pose.clip] : undefined;
      if (mine !== run || viewer.rig() !== rig || pose.kind !== 'clip' || clip === undefined)
        return;
      const seconds = pose.seconds + (before === null ? 0 : (now - before) / 1000);
      before = now;
      // At its end it starts again; a clip of one key has no length to play.
      viewer.setPose(rig, { ...pose, seconds: clip.duration > 0 ? seconds % clip.duration : 0 });
      requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  };
  return { playing: () => on, toggle: () => (on ? stop() : start()), stop };
}
