import { approvedControls } from './approved-controls.js';
import { clipControls } from './clip-controls.js';
import { curlControls } from './curl-controls.js';
import { button, choice, el, type Group, group, pickLabel } from './dom.js';
import type { Viewer } from './viewer.js';

const HELP =
  'Drag to turn the view. Drag with the right button or two fingers to move it. Click or tap the picture before you use the wheel or two fingers. Pinch, or press + and -, to zoom. Arrow keys turn the view; with Shift they move it. Click a joint to choose it. Click a number to go to its finding; Tab leads to the numbers from the picture.';
const SIGNS =
  'A dot is a joint. A hollow, faint dot is a joint that moves no skin. Numbers are findings. The axes of a joint are red (X), green (Y) and blue (Z).';

const LOOKS = { Front: 'front', Side: 'side', Top: 'top', 'Whole rig': null } as const;

/** Fills the holder with the controls of the chosen rig, and keeps them right. */
export function makeControls(viewer: Viewer, holder: HTMLElement): void {
  let shown = -1;
  let groups: Group[] = [];
  const refresh = (): void => {
    if (viewer.rig() !== shown) {
      shown = viewer.rig();
      groups = groupsOf(viewer, shown);
      const { notes = [] } = viewer.rigs[shown]?.data ?? {};
      holder.replaceChildren(
        ...groups.map(({ element }) => element),
        ...[...notes, HELP, SIGNS].map((words) => el('p', { class: 'view-note' }, words)),
      );
    }
    for (const { update } of groups) update();
  };
  viewer.onChange(refresh);
  refresh();
}

function groupsOf(viewer: Viewer, rig: number): Group[] {
  const { clips = [], data } = viewer.rigs[rig] ?? {};
  return [
    lookControls(viewer),
    ...(clips.length > 0 ? [clipControls(viewer, rig)] : []),
    ...(data?.approved ? [approvedControls(viewer, rig)] : []),
    ...(data && data.chains.length > 0 ? [curlControls(viewer, rig)] : []),
  ];
}

function lookControls(viewer: Viewer): Group {
  const all = el('input', { type: 'checkbox' });
  all.addEventListener('change', () => viewer.showAllAxes(all.checked));
  const buttons = Object.entries(LOOKS).map(([words, side]) =>
    button(words, () => viewer.look(side)),
  );
  const sides = el('div', { class: 'view-buttons' }, ...buttons);
  const names = viewer.rigs.map(({ name }, index) => `${index + 1}: ${name}`);
  const rigs = choice('Rig', names, viewer.chooseRig);
  const axes = pickLabel(all, 'Axes of all joints');
  const follow = el('input', { type: 'checkbox' });
  follow.addEventListener('change', () => viewer.setReadsAlong(follow.checked));
  const follows = pickLabel(follow, 'Move to the finding that I read');
  const hasFindings = document.querySelector('article.finding') !== null;
  const fields = [...(viewer.rigs.length > 1 ? [rigs.field] : []), axes];
  return {
    element: group('Look', [sides, ...fields, ...(hasFindings ? [follows] : [])]),
    update() {
      follow.checked = viewer.readsAlong();
      rigs.select.selectedIndex = viewer.rig();
      all.checked = viewer.allAxes();
    },
  };
}
