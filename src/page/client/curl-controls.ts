import { roleOf, type Turn } from '../../draw/curl-view.js';
import { significant } from '../../kit/figures.js';
import { LETTERS } from '../../rig/letters.js';
import {
  button,
  choice,
  el,
  type Group,
  group,
  pickLabel,
  radios,
  setText,
  slider,
} from './dom.js';
import { LEAST_DRIFT } from './follow-curl.js';
import type { Viewer } from './viewer.js';

const FRAMES = ['own', 'carried'] as const;
const FRAME_WORDS = ['as it is', 'as frames carried along the chain would'];
const ROLE_WORDS = { up: 'up axis', side: 'side axis', aim: 'along the bone' } as const;
/** Farthest turn of each joint either way, and one step of the slider. Degrees. */
const [MOST_DEGREES, STEP_DEGREES] = [180, 0.5];

/**
 * Chooses a chain and turns every joint of it about one letter by one amount, with its own frames or with
 * those carried along it. What is told is of the curl that is shown.
 */
export function curlControls(viewer: Viewer, rig: number): Group {
  const { jointNames = [], chains = [] } = viewer.rigs[rig] ?? {};
  const name = (joint = -1): string => jointNames[joint] ?? '';
  const ends = chains.map(({ joints }) => `${name(joints[0])} to ${name(joints.at(-1))}`);
  const list = choice('Chain', ['none', ...ends], (index) =>
    viewer.setCurl(rig, index === 0 ? { chain: -1, degrees: 0 } : { chain: index - 1 }),
  );
  const axis = choice('About', LETTERS, (index) =>
    viewer.setCurl(rig, { letter: LETTERS[index] ?? 'Y' }),
  );
  const bend = slider(
    'Each joint turns by',
    [-MOST_DEGREES, MOST_DEGREES, STEP_DEGREES],
    (degrees) => viewer.setCurl(rig, { degrees }),
  );
  const typed = el('input', {
    type: 'number',
    min: `${-MOST_DEGREES}`,
    max: `${MOST_DEGREES}`,
    step: `${STEP_DEGREES}`,
    'aria-label': 'Degrees that each joint turns by',
  });
  typed.addEventListener('change', () => {
    const asked = Math.min(MOST_DEGREES, Math.max(-MOST_DEGREES, typed.valueAsNumber));
    if (Number.isFinite(asked)) viewer.setCurl(rig, { degrees: Number(shown(asked)) });
    typed.value = shown(viewer.curl(rig).degrees);
  });
  const judged = button('', () => {
    const turn = turnOf(viewer, rig);
    if (turn !== null) viewer.setCurl(rig, { letter: turn.letter, degrees: turn.degrees });
  });
  const frames = radios('Drawn solid', FRAME_WORDS, (index) =>
    viewer.setCurl(rig, { frames: FRAMES[index] ?? 'own' }),
  );
  const follows = el('input', { type: 'checkbox' });
  follows.addEventListener('change', () => viewer.setFollows(follows.checked));
  const word = el('p', { class: 'view-word' });
  const update = (): void => {
    const { chain, letter, degrees, frames: drawn } = viewer.curl(rig);
    const chosen = chains[chain];
    list.select.selectedIndex = chain + 1;
    axis.select.selectedIndex = LETTERS.indexOf(letter);
    LETTERS.forEach((each, index) => {
      const option = axis.select.options[index];
      const role = chosen && ROLE_WORDS[roleOf(chosen, each)];
      if (option) setText(option, role === undefined ? each : `${each} (${role})`);
    });
    for (const input of [bend.input, typed]) input.disabled = chosen === undefined;
    bend.input.value = String(degrees);
    bend.say(chosen === undefined ? '' : `${shown(degrees)}°`);
    // Not while it is typed into: a figure that is half written would be taken away.
    if (document.activeElement !== typed) typed.value = shown(degrees);
    const turn = turnOf(viewer, rig);
    judged.hidden = turn === null;
    setText(judged, turn === null ? '' : `As the rule turns it: ${turnWords(turn)}`);
    for (const [index, input] of frames.inputs.entries()) input.checked = FRAMES[index] === drawn;
    follows.checked = viewer.follows();
    setText(word, curlWords(viewer, rig));
  };
  const row = el('div', { class: 'view-row' }, list.field, axis.field);
  const amount = el('div', { class: 'view-row view-amount' }, bend.field, typed);
  const follow = pickLabel(follows, 'Turn the view to what leaves its place');
  const fields = [row, amount, word, judged, frames.field, follow];
  return { element: group('Curl a chain', fields, 'view-group view-curl'), update };
}

/** An amount in figures: every step of the slider, and what is typed, as it was chosen. Degrees. */
function shown(degrees: number): string {
  return String(Number(degrees.toFixed(2)));
}

/** The turn by which the chosen chain is judged. */
function turnOf(viewer: Viewer, rig: number): Turn | null {
  return viewer.judgedTurn(rig, viewer.curl(rig).chain);
}

function turnWords({ letter, degrees }: Turn): string {
  return `${shown(degrees)}° about ${letter}`;
}

/** What the curl that is shown comes to. */
function curlWords(viewer: Viewer, rig: number): string {
  const [curled, { chain, frames }] = [viewer.curled(rig), viewer.curl(rig)];
  if (curled === null)
    return 'Choose a chain and an amount. Every joint of the chain turns about the same letter by the same amount.';
  const start = `Every joint turned by ${turnWords(curled)}:`;
  if (curled.drift < LEAST_DRIFT)
    return `${start} the chain curls as carried frames would curl it.`;
  const { jointNames = [], chains = [] } = viewer.rigs[rig] ?? {};
  const worst = jointNames[chains[chain]?.joints[curled.worst] ?? -1] ?? '';
  const dashed = frames === 'own' ? 'the chain with carried frames' : 'the chain as it is';
  return `${start} ${worst} is off by ${significant(100 * curled.drift)} % of the chain's length. Dashed: ${dashed}.`;
}
