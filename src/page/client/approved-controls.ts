import { significant } from '../../kit/figures.js';
import { button, el, type Group, group, radios, setText } from './dom.js';
import type { Shown } from './live-approved.js';
import type { Viewer } from './viewer.js';
import type { WorstMoment } from './worst-moment.js';

const SHOWN: readonly Shown[] = ['top', 'beside', 'hidden'];
const SHOWN_WORDS = ['on top of this rig', 'beside this rig', 'not at all'];

/** Shows the approved rig, and goes to where the two part most. */
export function approvedControls(viewer: Viewer, rig: number): Group {
  const { clips = [], jointNames = [], data } = viewer.rigs[rig] ?? {};
  const isModel = data?.approved?.by === 'mesh';
  const shown = radios('Shown', SHOWN_WORDS, (index) => viewer.showApproved(SHOWN[index] ?? 'top'));
  const word = el('p', { class: 'view-word', role: 'status' });
  const worst = button('Worst moment', () => {
    const found = viewer.goToWorst(rig);
    const name = jointNames[found?.joint ?? -1] ?? '';
    setText(
      word,
      found === null
        ? 'No clip of the approved rig shows a difference.'
        : `${clips[found.clip]?.name ?? ''}, at ${found.seconds.toFixed(2)} s: ${momentWords(found, name)}`,
    );
  });
  const row = el('div', { class: 'view-buttons' }, worst);
  const hasMoments = clips.length > 0 && !isModel;
  const places = isModel ? MODEL_PLACES : PLACES;
  const hint = el('p', { class: 'view-word' }, hasMoments ? `${places} ${MOMENT}` : places);
  const fields = [shown.field, ...(hasMoments ? [row, word] : []), hint];
  return {
    element: group(isModel ? 'Model (dashed)' : 'Approved rig (dashed)', fields),
    update() {
      for (const [index, input] of shown.inputs.entries())
        input.checked = SHOWN[index] === viewer.approvedShown();
    },
  };
}

const PLACES =
  'On top: both roots stay together. Beside: the approved rig stands at the right and travels freely.';
const MODEL_PLACES =
  'The model stands as it was bound, its mesh on the mesh of this rig. It does not play clips.';
const MOMENT =
  'The worst moment is that of the chosen clip. If no clip of the approved rig is chosen, it is the worst of all of them.';

/** What is off and by how much, as the finding says it. */
function momentWords({ kind, value, limit }: WorstMoment, joint: string): string {
  const [what, unit] = {
    bone: [`the bone to ${joint}`, '°'],
    place: [`the joint ${joint}`, ' % of size'],
    skin: [`the skin on ${joint}`, ' % of size'],
    travel: [`the way that the whole rig travels with ${joint}`, ' % of size'],
  }[kind];
  return `${what} is ${significant(value)}${unit} off (limit ${significant(limit)}${kind === 'bone' ? '°' : ' %'}).`;
}
