import { clipControls } from '../clip-controls.js';
import { button, choice, el, type Group, group, pickLabel, slider } from '../dom.js';
import type { PairViewer } from './pair-viewer.js';

const HELP =
  'Drag to turn the view. Drag with the right button or two fingers to move it. Click or tap the picture before you use the wheel or two fingers. Pinch, or press + and -, to zoom. Arrow keys turn the view; with Shift they move it. Click a joint to see its axes.';
const SIGNS =
  'A dot is a joint; a blue dot is one that the mend changed. The axes of a joint are red (X), green (Y) and blue (Z).';

const LOOKS = { Front: 'front', Side: 'side', Top: 'top', 'Whole rig': null } as const;
const LINES = { Before: 1, 'Half and half': 0.5, After: 0 } as const;

/** Fills the holder with the line between before and after, and the controls of the chosen rig. */
export function makePairControls(viewer: PairViewer, holder: HTMLElement): void {
  let shown = -1;
  let groups: Group[] = [];
  const line = lineControls(viewer);
  const refresh = (): void => {
    if (viewer.rig() !== shown) {
      shown = viewer.rig();
      groups = [line, lookControls(viewer), ...clipsOf(viewer, shown)];
      const { notes = [] } = viewer.sides[0][shown]?.data ?? {};
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

function clipsOf(viewer: PairViewer, rig: number): Group[] {
  const { clips = [] } = viewer.sides[0][rig] ?? {};
  return clips.length > 0 ? [clipControls(viewer, rig)] : [];
}

/** Moves the line that divides the picture. */
function lineControls(viewer: PairViewer): Group {
  const line = slider('Line between before and after', [0, 100, 1], (percent) =>
    viewer.setSplit(percent / 100),
  );
  const buttons = Object.entries(LINES).map(([words, share]) =>
    button(words, () => viewer.setSplit(share)),
  );
  const row = el('div', { class: 'view-buttons' }, ...buttons);
  return {
    element: group('Before and after', [line.field, row], 'view-group pair-line'),
    update() {
      const percent = Math.round(100 * viewer.split());
      line.input.value = String(percent);
      line.say(`${percent} % before, ${100 - percent} % after`);
      buttons.forEach((each, at) => {
        const share = Object.values(LINES)[at];
        each.setAttribute('aria-pressed', String(viewer.split() === share));
      });
    },
  };
}

function lookControls(viewer: PairViewer): Group {
  const axes = el('input', { type: 'checkbox' });
  axes.addEventListener('change', () => viewer.showAxes(axes.checked));
  const buttons = Object.entries(LOOKS).map(([words, side]) =>
    button(words, () => viewer.look(side)),
  );
  const names = viewer.rigs.map(({ name }, index) => `${index + 1}: ${name}`);
  const rigs = choice('Rig', names, viewer.chooseRig);
  const fields = [
    el('div', { class: 'view-buttons' }, ...buttons),
    ...(viewer.rigs.length > 1 ? [rigs.field] : []),
    pickLabel(axes, 'Axes of changed joints'),
  ];
  return {
    element: group('Look', fields),
    update() {
      rigs.select.selectedIndex = viewer.rig();
      axes.checked = viewer.axes();
    },
  };
}
