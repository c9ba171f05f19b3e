import { distance, type Vec3 } from '../rig/vec3.js';
import { size } from './bind-mesh.js';
import { bindPose } from './bind-pose.js';
import { aimAxisOf } from './chains.js';
import { conventions } from './conventions.js';
import { type Facts, fact } from './facts.js';
import { type Frame, frameAngle, frames } from './frames.js';
import { midline } from './midline.js';
import { PAIR_TOLERANCE, type Pair, pairs } from './pairs.js';
import { skinMass } from './skin-mass.js';

/**
 * How the right frame follows from the left: with S = diag(-1, 1, 1), S R_left with all three axes
 * turned round (equal turns look mirrored), with one of them turned round, or R_left itself.
 */
export type MirrorScheme =
  | 'behaviour'
  | 'aim reversed'
  | 'up reversed'
  | 'side reversed'
  | 'copied';

export interface Mirror {
  /** The scheme that most pairs follow; null when no half of them agree on one. */
  readonly scheme: MirrorScheme | null;
  /** Pairs within the tolerance of the scheme, and pairs judged. */
  readonly agree: number;
  readonly pairs: readonly MirroredPair[];
}

export interface MirroredPair {
  readonly pair: Pair;
  /** Angle in degrees of each pair's right frame from what the scheme makes of its left. */
  readonly miss: Readonly<Record<MirrorScheme, number>>;
}

const SCHEMES: readonly MirrorScheme[] = [
  'behaviour',
  'side reversed',
  'up reversed',
  'aim reversed',
  'copied',
];

/** A pair follows a scheme when its frames lie within this of it. Degrees. */
const FOLLOWS_DEGREES = 5;

/**
 * Finds a rig's mirror scheme. Only pairs that stand mirrored are asked: where a pose or a design
 * puts two joints differently, their frames have to differ too.
 */
export const mirror = fact((facts): Mirror => {
  const { movesBelow } = skinMass(facts);
  const judged = pairs(facts)
    .list.filter(({ left, right }) => movesBelow[left] === 1 && movesBelow[right] === 1)
    .filter((pair) => standsMirrored(facts, pair))
    .flatMap((pair) => missOf(facts, pair) ?? []);
  let best: { scheme: MirrorScheme; agree: number; sum: number } | null = null;
  for (const scheme of SCHEMES) {
    const agree = judged.filter((item) => item.miss[scheme] <= FOLLOWS_DEGREES).length;
    const sum = judged.reduce((total, item) => total + item.miss[scheme], 0);
    if (best === null || agree > best.agree || (agree === best.agree && sum < best.sum - 1e-6))
      best = { scheme, agree, sum };
  }
  const holds = best !== null && judged.length > 0 && best.agree * 2 >= judged.length;
  return {
    scheme: holds && best !== null ? best.scheme : null,
    agree: best?.agree ?? 0,
    pairs: judged,
  };
});

function standsMirrored(facts: Facts, { left, right }: Pair): boolean {
  const { places } = bindPose(facts);
  const [a, b] = [places[left], places[right]];
  if (a === undefined || b === undefined) return false;
  const mirrored: Vec3 = [2 * midline(facts).x - a[0], a[1], a[2]];
  return distance(mirrored, b) <= PAIR_TOLERANCE * size(facts);
}

function missOf(facts: Facts, pair: Pair): MirroredPair | null {
  const [left, right] = [frames(facts)[pair.left], frames(facts)[pair.right]];
  if (left === undefined || right === undefined) return null;
  const aim = aimAxisOf(facts, pair.left)?.index ?? 0;
  const up = conventions(facts).up?.index ?? (aim + 1) % 3;
  const side = 3 - aim - up;
  const flips: Record<MirrorScheme, readonly number[] | null> = {
    behaviour: [aim, up, side],
    'aim reversed': [aim],
    'up reversed': [up],
    'side reversed': [side],
    copied: null,
  };
  const miss = (scheme: MirrorScheme): number => {
    const flipped = flips[scheme];
    return frameAngle(flipped === null ? left : mirrorFrame(left, flipped), right);
  };
  return {
    pair,
    miss: {
      behaviour: miss('behaviour'),
      'aim reversed': miss('aim reversed'),
      'up reversed': miss('up reversed'),
      'side reversed': miss('side reversed'),
      copied: miss('copied'),
    },
  };
}

/** S R with the given axes turned round. */
function mirrorFrame(frame: Frame, flipped: readonly number[]): Frame {
  const axis = (index: number): Vec3 => {
    const [x, y, z] = frame[index] ?? [0, 0, 0];
    return flipped.includes(index) ? [x, -y, -z] : [-x, y, z];
  };
  return [axis(0), axis(1), axis(2)];
}
