import type { View } from '../../../draw/view.js';
import { significant } from '../../../kit/figures.js';
import { LETTERS, type Letter } from '../../../rig/letters.js';
import type { HandbookLive, LivePair } from '../../handbook-live.js';
import { button, choice, el, radios, setText, slider } from '../dom.js';
import type { Theme } from '../theme.js';
import { curledWorld, readSide, type Side } from './live-side.js';
import { frameOf, paintSide, viewOf } from './paint-side.js';

const SIDES = ['At fault', 'Mended'] as const;
const LOOKS: readonly View['name'][] = ['front', 'side', 'top'];
const LOOK_WORDS = ['the front', 'the side', 'the top'];
/** How far each joint turns at most. Degrees. */
const MOST = 180;
/** A gap that is less cannot be seen. Percent of the chain. */
const LEAST_SEEN = 0.5;
/** Degrees that a drag over so many pixels is. */
const DEGREES_A_PIXEL = 0.5;

/** A pair on the page that can be drawn again: after a change of colours, and for paper. */
export interface ShownPair {
  readonly element: HTMLElement;
  paint(theme: Theme): void;
}

/** Fills a holder with both sides and what curls them together. */
export function showPair(
  holder: HTMLElement,
  pair: LivePair,
  pool: HandbookLive['pool'],
  theme: () => Theme,
): ShownPair {
  const sides = pair.sides.map((side) => readSide(side, pool));
  let { letter, degrees } = pair;
  let view = viewOf(pair.view);
  let frame = frameOf(sides, view, letter);
  const canvases = SIDES.map((words) => el('canvas', { role: 'img', 'aria-label': words }));
  const figures = canvases.map((canvas, at) =>
    el(
      'figure',
      { class: at === 0 ? 'at-fault' : 'mended' },
      el('figcaption', {}, el('strong', {}, SIDES[at] ?? '')),
      canvas,
    ),
  );
  const word = el('p', { class: 'live-word' });
  // On paper nothing says what the controls are set to.
  const onPaper = el('p', { class: 'on-paper' });
  const paint = (colours: Theme): void => {
    for (const [at, side] of sides.entries()) {
      const canvas = canvases[at];
      if (canvas) paintSide(canvas, side, { letter, degrees }, { view, frame }, colours);
    }
  };
  const tell = (): void => {
    const turned = `${degrees}° about ${letter}`;
    amount.input.value = String(degrees);
    amount.say(`${degrees}°`);
    for (const [at, input] of letters.inputs.entries()) input.checked = LETTERS[at] === letter;
    looks.select.selectedIndex = LOOKS.indexOf(view.name);
    for (const [at, canvas] of canvases.entries())
      canvas.setAttribute('aria-label', `${SIDES[at]}: ${jointWords(pair)} turned by ${turned}`);
    setText(onPaper, degrees === 0 ? 'Not turned.' : `Turned by ${turned}: ${jointWords(pair)}.`);
    setText(word, gapWords(sides, letter, degrees));
  };
  const change = (to: { letter?: Letter; degrees?: number; view?: View }): void => {
    const before = { letter, view };
    letter = to.letter ?? letter;
    degrees = Math.max(-MOST, Math.min(MOST, Math.round(to.degrees ?? degrees)));
    view = to.view ?? view;
    if (before.letter !== letter || before.view !== view) frame = frameOf(sides, view, letter);
    tell();
    paint(theme());
  };
  const amount = slider(`Turn ${jointWords(pair)} by`, [-MOST, MOST, 1], (value) =>
    change({ degrees: value }),
  );
  const letters = radios('About', LETTERS, (at) => change({ letter: LETTERS[at] ?? letter }));
  const looks = choice('Seen from', LOOK_WORDS, (at) =>
    change({ view: viewOf(LOOKS[at] ?? 'front') }),
  );
  const back = button('Back to 0°', () => change({ degrees: 0 }));
  for (const canvas of canvases)
    drag(
      canvas,
      () => degrees,
      (value) => change({ degrees: value }),
    );
  holder.append(
    el('div', { class: 'live-sides' }, ...figures),
    onPaper,
    amount.field,
    el('div', { class: 'live-row' }, letters.field, looks.field, back),
    word,
  );
  tell();
  return { element: holder, paint };
}

function jointWords({ called, ends: [first, last], sides: [, mended] }: LivePair): string {
  if (called !== undefined) return called;
  return mended.turned.length === 1 ? first : `every joint from ${first} to ${last}`;
}

/** How far apart the ends of both chains are. */
function gapWords(sides: readonly Side[], letter: Letter, degrees: number): string {
  const [a, b] = sides.map((side) => {
    const world = curledWorld(side, letter, degrees);
    const places = ends(side).map((node) => placeOf(world, node));
    const whole = side.chain.reduce((sum, node, at) => {
      const next = side.chain[at + 1] ?? ends(side)[0] ?? node;
      return sum + gap(placeOf(world, node), placeOf(world, next));
    }, 0);
    return { places, whole };
  });
  // Of chains that hang otherwise the last joint is another one.
  const alike = sides[0]?.parents.join() === sides[1]?.parents.join();
  const [p, q] = [a?.places[0], b?.places[0]];
  if (!alike || !b || !p || !q || !(b.whole > 0)) return '';
  const percent = (100 * gap(p, q)) / b.whole;
  if (percent >= LEAST_SEEN)
    return `The two chains end ${significant(percent)} % of their length apart.`;
  // Of one joint that is bent, the skin is what differs.
  return sides[1]?.chain.length === 1 ? '' : 'Both chains end in the same place.';
}

/** What the last joint of the chain points at, or that joint itself. */
function ends({ chain, joints, parents }: Side): number[] {
  const last = chain.at(-1) ?? 0;
  const below = joints.filter((node) => parents[node] === last);
  return below.length > 0 ? below : [last];
}

type Place = readonly [number, number, number];

function placeOf(world: Float64Array, node: number): Place {
  const at = 16 * node + 12;
  return [world[at] ?? 0, world[at + 1] ?? 0, world[at + 2] ?? 0];
}

function gap(a: Place, b: Place): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

/** Lets a picture be dragged sideways. Keys and screen readers have the slider. */
function drag(canvas: HTMLCanvasElement, now: () => number, move: (degrees: number) => void): void {
  let start: { x: number; degrees: number } | null = null;
  canvas.addEventListener('pointerdown', (event) => {
    start = { x: event.clientX, degrees: now() };
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener('pointermove', (event) => {
    if (start === null || !canvas.hasPointerCapture(event.pointerId)) return;
    move(start.degrees + DEGREES_A_PIXEL * (event.clientX - start.x));
  });
}
