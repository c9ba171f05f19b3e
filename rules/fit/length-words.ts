import type { Said } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import { sameOf } from '../parts.js';
import { lessOf, OF_OTHER_SIDE } from './with-approved.js';

/** Where a joint is in the bind pose, and where the approved rig would have it. World units of this rig. */
export interface End {
  readonly joint: number;
  /** The joint that its bone begins at; -1 where it hangs on none and is held to its place in the whole. */
  readonly from: number;
  /** Of its bone, and of the approved bone, made as large as this rig is. */
  readonly length: number;
  readonly wanted: number;
  /** What counts as the length of the bone. */
  readonly whole: number;
  /** Size of this rig over the approved one. */
  readonly scale: number;
  readonly off: number;
  readonly place: readonly [number, number, number];
  /** How far it is off: % of the bone, or of size where there is none. */
  readonly percent: number;
  /** Whether the whole rig is that of the other side. */
  readonly mirror: boolean;
}

/** Of how far a bone's end is off, this share at least is its length. */
const ALONG = 0.9;
/** Lengths that are off alike to within this, as a share of the bone, were made in one go. */
const ALIKE = 0.01;
/** A scale nearer to 1 than this is none to speak of. */
const SAME_SIZE = 0.005;

interface Held {
  readonly measured: number;
  readonly limit: number;
}

export function lengthWords(worst: End, others: readonly End[], held: Held, words: Words): Said {
  const alike = others.every((other) => isOffAlike(worst, other));
  const also = alike ? sameOf(others, words) : lessOf(others, words);
  return {
    message: `${offWords(worst, held, words)}${also}.`,
    remedy: worst.mirror ? OF_OTHER_SIDE : moveWords(worst, others.length > 0, words),
  };
}

function moveWords(worst: End, isOneOfSeveral: boolean, words: Words): string {
  const joint = words.joint(worst.joint);
  const along = 'with all that hangs on it and the skin';
  if (isOneOfSeveral)
    return `Move each of these joints to where the approved rig has it, ${along}.`;
  return isAlongBone(worst)
    ? `Move ${joint} along its bone until the bone is ${words.length(worst.wanted)} long, ${along}.`
    : `Move ${joint} back by ${words.length(worst.off)}, ${along}.`;
}

function offWords(end: End, { measured, limit }: Held, words: Words): string {
  const { from, length, wanted, whole, scale, off } = end;
  const [joint, away, most] = [
    words.joint(end.joint),
    words.percent(measured),
    words.percent(limit),
  ];
  const asLarge = Math.abs(scale - 1) > SAME_SIZE ? ', once both are of one size' : '';
  if (from === -1)
    return `${joint} hangs on no joint, and stands ${words.length(off)} away from its place in the approved rig${asLarge} (limit ${most} of size)`;
  const counts = whole > wanted ? `, which counts as ${words.length(whole)} long` : '';
  if (!isAlongBone(end))
    return `${joint} stands ${words.length(off)} away from where the bone from ${words.joint(from)} ends in the approved rig${asLarge}, ${away} of the bone${counts} (limit ${most} of the bone)`;
  const share = words.percent((100 * Math.abs(length - wanted)) / wanted);
  const is = `The bone from ${words.joint(from)} to ${joint} is ${share} ${length > wanted ? 'longer' : 'shorter'} than in the approved rig${asLarge}: ${words.length(length)}, not ${words.length(wanted)}`;
  // A bone that points elsewhere, too, ends farther away than it is too long or too short.
  return share === away
    ? `${is} (limit ${most} of the bone)`
    : `${is}; its end is ${words.length(off)} away from where it belongs, ${away} of the bone${counts} (limit ${most} of the bone)`;
}

function isAlongBone({ from, length, wanted, off }: End): boolean {
  return from !== -1 && wanted > 0 && Math.abs(length - wanted) >= ALONG * off;
}

export function areAlike(a: End, b: End): boolean {
  const [one, other] = [a.length / a.wanted, b.length / b.wanted];
  return isAlongBone(a) && isAlongBone(b) && Math.abs(one - other) < ALIKE;
}

/** Whether what is said of one is true of another. */
function isOffAlike(a: End, b: End): boolean {
  const isSameWay = !isAlongBone(a) || a.length > a.wanted === b.length > b.wanted;
  return (
    isAlongBone(a) === isAlongBone(b) && isSameWay && Math.abs(a.percent - b.percent) < 100 * ALIKE
  );
}
