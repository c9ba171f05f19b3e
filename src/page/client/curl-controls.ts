import { significant } from '../../kit/figures.js';
import { choice, el, type Group, group, radios, setText, slider } from './dom.js';
import { CURL_DEGREES } from './pose.js';
import type { Curl } from './pose-bones.js';
import type { Viewer } from './viewer.js';

const AXES = ['up', 'side'] as const;
const FRAMES = ['own', 'ideal'] as const;
const FRAME_WORDS = ['as it is', 'as frames carried along the chain would'];

/** Chooses a chain and curls it, with its own frames or with those carried along it. */
export function curlControls(viewer: Viewer, rig: number): Group {
  const { jointNames = [], data } = viewer.rigs[rig] ?? {};
  const name = (joint = -1): string => jointNames[joint] ?? '';
  const chains = (data?.chains ?? []).map(
    ({ joints }) => `${name(joints[0])} to ${name(joints.at(-1))}`,
  );
  const list = choice('Chain', ['none', ...chains], (index) =>
    viewer.setCurl(rig, index === 0 ? { chain: -1, share: 0 } : { chain: index - 1 }),
  );
  const axis = choice('About', ['the up axis', 'the side axis'], (index) =>
    viewer.setCurl(rig, { about: AXES[index] ?? 'up' }),
  );
  const bend = slider('Curl', [0, CURL_DEGREES, 1], (degrees) =>
    viewer.setCurl(rig, { share: degrees / CURL_DEGREES }),
  );
  const frames = radios('Drawn solid', FRAME_WORDS, (index) =>
    viewer.setCurl(rig, { frames: FRAMES[index] ?? 'own' }),
  );
  const word = el('p', { class: 'view-word' });
  const update = (): void => {
    const { chain, about, share, frames: drawn } = viewer.curl(rig);
    list.select.selectedIndex = chain + 1;
    axis.select.selectedIndex = AXES.indexOf(about);
    const degrees = Math.round(share * CURL_DEGREES);
    bend.input.disabled = chain === -1;
    bend.input.value = String(degrees);
    bend.say(`${degrees}°`);
    for (const [index, input] of frames.inputs.entries()) input.checked = FRAMES[index] === drawn;
    setText(word, gapWords(viewer.gap(rig), drawn));
  };
  const row = el('div', { class: 'view-row' }, list.field, axis.field);
  const fields = [row, bend.field, frames.field, word];
  return { element: group('Curl a chain', fields, 'view-group view-curl'), update };
}

/** Less than this much of a chain's length cannot be seen. Percent. */
const LEAST_SEEN = 0.05;

function gapWords(gap: number | null, frames: Curl['frames']): string {
  if (gap === null)
    return 'Choose a chain to curl it. Every joint after the first turns by the same angle.';
  const percent = 100 * gap;
  const other = frames === 'own' ? 'carried frames' : 'its own frames';
  return percent < LEAST_SEEN
    ? `The chain curls in the same way with ${other}.`
    : `Dashed: the chain with ${other}, up to ${significant(percent)} % of its length away.`;
}
