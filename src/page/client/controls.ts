import { clipControls } from './clip-controls.js';
import { curlControls } from './curl-controls.js';
import { button, choice, el, type Group } from './dom.js';
import { makePlayer } from './player.js';
import type { Viewer } from './viewer.js';

const HELP =
  'Drag to turn the view. Drag with the right button or two fingers to move it. Click or tap the picture before you use the wheel or two fingers. Pinch, or press + and -, to zoom. Arrow keys turn the view; with Shift they move it. Click a joint to choose it.';
const SIGNS =
  'A dot is a joint. A hollow, faint dot is a joint that moves no skin. Numbers are findings. The axes of a joint are red (X), green (Y) and blue (Z).';

/** Fills the holder with the controls of the rig at hand, and keeps them right. */
export function makeControls(viewer: Viewer, holder: HTMLElement): void {
  let shown = -1;
  let groups: Group[] = [];
  const update = (): void => {
    if (viewer.rig() !== shown) {
      shown = viewer.rig();
      groups = groupsOf(viewer, shown);
      const { notes = [] } = viewer.rigs[shown]?.data ?? {};
      holder.replaceChildren(
        ...groups.map(({ element }) => element),
        ...[...notes, HELP, SIGNS].map((words) => el('p', { class: 'view-note' }, words)),
      );
    }
    for (const group of groups) group.update();
  };
  viewer.onChange(update);
  update();
}

function groupsOf(viewer: Viewer, rig: number): Group[] {
  const of = viewer.rigs[rig];
  const player = makePlayer(viewer, rig);
  return [
    lookControls(viewer),
    ...((of?.clips.length ?? 0) > 0 ? [clipControls(viewer, rig, player)] : []),
    ...((of?.data.chains.length ?? 0) > 0 ? [curlControls(viewer, rig)] : []),
  ];
}

function lookControls(viewer: Viewer): Group {
  const all = el('input', { type: 'checkbox' });
  all.addEventListener('change', () => viewer.showAllAxes(all.checked));
  const sides = el(
    'div',
    { class: 'view-buttons' },
    button('Front', () => viewer.look('front')),
    button('Side', () => viewer.look('side')),
    button('Top', () => viewer.look('top')),
    button('Whole rig', () => viewer.look(null)),
  );
  const rigs = choice(
    'Rig',
    viewer.rigs.map(({ name }, index) => `${index + 1}: ${name}`),
    (index) => viewer.chooseRig(index),
  );
  const axes = el('label', { class: 'view-pick' }, all, el('span', {}, 'Axes of all joints'));
  const element = el('fieldset', { class: 'view-group' }, el('legend', {}, 'Look'), sides);
  if (viewer.rigs.length > 1) element.append(rigs.field);
  element.append(axes);
  return {
    element,
    update() {
      rigs.select.selectedIndex = viewer.rig();
      all.checked = viewer.allAxes();
    },
  };
}
