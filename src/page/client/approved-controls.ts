import { significant } from '../../kit/figures.js';
import { button, el, type Group, group, radios, setText } from './dom.js';
import type { Shown } from './live-approved.js';
import type { Viewer } from './viewer.js';

const SHOWN: readonly Shown[] = ['top', 'beside', 'hidden'];
const SHOWN_WORDS = ['on top of this rig', 'beside this rig', 'not at all'];
/** Nearer to each other than this, the two are seen as one. Share of the rig's size. */
const SEEN_AS_ONE = 0.001;

/** Shows the approved rig, and goes to where the two part most. */
export function approvedControls(viewer: Viewer, rig: number): Group {
  const { clips = [], jointNames = [] } = viewer.rigs[rig] ?? {};
  const shown = radios('Shown', SHOWN_WORDS, (index) => viewer.showApproved(SHOWN[index] ?? 'top'));
  const word = el('p', { class: 'view-word', role: 'status' });
  const worst = button('Worst moment', () => {
    const found = viewer.goToWorst(rig);
    const where = found && `${clips[found.clip]?.name ?? ''}, at ${found.seconds.toFixed(2)} s`;
    setText(
      word,
      found === null || found.share < SEEN_AS_ONE
        ? 'At no moment is a joint farther than 0.1 % of the size of the rig from the approved one.'
        : `${where}: ${jointNames[found.joint] ?? ''} is ${significant(100 * found.share)} % of the size of the rig away from the approved one, root on root.`,
    );
  });
  const row = el('div', { class: 'view-buttons' }, worst);
  const hint = el('p', { class: 'view-word' }, clips.length > 0 ? `${PLACES} ${MOMENT}` : PLACES);
  const fields = [shown.field, ...(clips.length > 0 ? [row, word] : []), hint];
  return {
    element: group('Approved rig (dashed)', fields),
    update() {
      for (const [index, input] of shown.inputs.entries())
        input.checked = SHOWN[index] === viewer.approvedShown();
    },
  };
}

const PLACES =
  'On top, the root of the approved rig is held on the root of this rig. Beside, it moves as it does alone, and is always to the right of what you see.';
const MOMENT =
  'The worst moment is looked for in the chosen clip. If no clip is chosen, it is looked for in all clips of the approved rig.';
