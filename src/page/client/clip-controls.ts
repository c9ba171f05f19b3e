import { button, choice, el, type Group, setText, slider } from './dom.js';
import type { Player } from './player.js';
import type { Viewer } from './viewer.js';

/** A clip to choose, to play, and to stop at any time of. */
export function clipControls(viewer: Viewer, rig: number, player: Player): Group {
  const clips = viewer.rigs[rig]?.clips ?? [];
  const list = choice('Clip', ['none', ...clips.map(({ name }) => name)], (index) => {
    player.stop();
    viewer.setPose(
      rig,
      index === 0 ? { kind: 'rest' } : { kind: 'clip', clip: index - 1, seconds: 0 },
    );
  });
  const play = button('Play', () => {
    const how = viewer.poser.pose(rig);
    // Play without a clip means the first one.
    if (how.kind !== 'clip') viewer.setPose(rig, { kind: 'clip', clip: 0, seconds: 0 });
    player.toggle();
    update();
  });
  const time = slider('Time', [0, 1, 0.001], (share) => {
    player.stop();
    const how = viewer.poser.pose(rig);
    if (how.kind === 'clip')
      viewer.setPose(rig, { ...how, seconds: share * (clips[how.clip]?.duration ?? 0) });
  });
  const update = (): void => {
    const how = viewer.poser.pose(rig);
    const clip = how.kind === 'clip' ? clips[how.clip] : undefined;
    if (how.kind !== 'clip') player.stop();
    list.select.selectedIndex = how.kind === 'clip' ? how.clip + 1 : 0;
    setText(play, player.playing() ? 'Pause' : 'Play');
    time.input.disabled = clip === undefined;
    const [at, end] = [how.kind === 'clip' ? how.seconds : 0, clip?.duration ?? 0];
    time.input.value = String(end > 0 ? at / end : 0);
    const words = clip === undefined ? '' : `${at.toFixed(2)} s of ${end.toFixed(2)} s`;
    time.tell(words);
  };
  const row = el('div', { class: 'view-row' }, list.field, play);
  const legend = el('legend', {}, 'Clips');
  const element = el('fieldset', { class: 'view-group' }, legend, row, time.field);
  return { element, update };
}
