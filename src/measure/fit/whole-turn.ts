import { boxAround, diagonal } from '../../rig/box.js';
import { quaternionOf, squareAxes } from '../../rig/decompose.js';
import { column, determinant3, type Mat4 } from '../../rig/mat4.js';
import { conjugate, multiplyQuaternions, type Quaternion, rotate } from '../../rig/quaternion.js';
import {
  add,
  angleBetween,
  direction,
  distance,
  scale,
  subtract,
  type Vec3,
} from '../../rig/vec3.js';

/** How one side stands in a pose: world space, world units of its own asset. */
export interface Standing {
  readonly places: readonly Vec3[];
  /** Turn of each joint's frame in the world. */
  readonly turns: readonly Quaternion[];
}

/** Joints of one side, and those of the other that answer to them. */
export type Pairs = readonly (readonly [joint: number, own: number])[];

/** One way to lay a skeleton over another. */
export interface Way {
  readonly turn: Quaternion;
  /** How far the joints are off then: a bounded sum. World units. */
  readonly off: number;
  /** Where a place of the first is in the second. */
  toOther(place: Vec3): Vec3;
}

export interface LaidOver {
  readonly ways: readonly Way[];
  /** Undefined where places are no numbers. */
  readonly best: Way | undefined;
  /** What the best leaves off, and rounding. */
  readonly least: number;
  /** How many joints were compared. */
  readonly count: number;
  /** The diagonal of the box round the joints of the other. */
  readonly size: number;
}

export const NO_TURN: Quaternion = [0, 0, 0, 1];

/** So many joints are asked how the whole is turned: one at fault must not be the only one. */
const ASKED = 6;
/** No joint counts for more than this when two ways to lay them over each other are compared. % of size. */
const MOST_OFF = 5;
/** On average: a skeleton whose bones are off by less stands as the other does, or is rolled. Degrees. */
const AS_IT_STANDS = 0.5;
/** A turn counts when it leaves less than this of what the bones are off without it. Share. */
const TELLING = 0.5;

/**
 * The ways in which one skeleton can be laid over another, and the best of them: no turn, or the turn
 * of the frame of one joint of several (the topmost is asked first); whichever brings the joints nearest
 * to where they are, with a bound on what each can count. A mean over all would be off by a little
 * wherever one limb is, and with it every frame; frames alone would say that a rig with other axes in
 * every joint is turned.
 *
 * A turn has to mend more than half of what the directions of the bones are off: two skeletons of other
 * proportions are near to each other in all kinds of ways.
 *
 * @param parents Parent of each joint of the first, -1 at the top.
 * @param times How many times as large the other is.
 * @param turns The turns that come into question, no turn first, where these are known.
 */
export function layWhole(
  from: Standing,
  to: Standing,
  pairs: Pairs,
  parents: ArrayLike<number>,
  times: number,
  turns: readonly Quaternion[] = turnsToTry(from, to, pairs),
): LaidOver {
  const at = (side: Standing, joint: number): Vec3 => side.places[joint] ?? [0, 0, 0];
  const size = diagonal(boxAround(pairs.map(([, own]) => at(to, own))));
  const bound = (MOST_OFF / 100) * size;
  const ways = turns.map((turn): Way => {
    const moved = (place: Vec3): Vec3 => scale(rotate(turn, place), times);
    const shift = middleOf(
      pairs.map(([joint, own]) => subtract(at(to, own), moved(at(from, joint)))),
    );
    const toOther = (place: Vec3): Vec3 => add(moved(place), shift);
    const off = pairs.reduce(
      (sum, [joint, own]) => sum + Math.min(bound, distance(at(to, own), toOther(at(from, joint)))),
      0,
    );
    return { turn, toOther, off };
  });
  const isTelling = tellingTurns(from, to, pairs, parents);
  const counting = ways.filter(({ turn }, index) => index === 0 || isTelling(turn));
  // Rounding must not choose between ways that are as good: the first is no turn at all.
  const rounding = 1e-6 * size * pairs.length;
  const least = Math.min(...counting.map(({ off }) => off)) + rounding;
  return { ways, best: counting.find(({ off }) => off <= least), least, size, count: pairs.length };
}

/** Whether a turn lays most bones along those of the other. */
function tellingTurns(
  from: Standing,
  to: Standing,
  pairs: Pairs,
  parents: ArrayLike<number>,
): (turn: Quaternion) => boolean {
  const answers = new Map(pairs);
  const bones = pairs.flatMap(([joint, own]) => {
    const parent = parents[joint] ?? -1;
    const above = to.places[answers.get(parent) ?? -1];
    const [start, end, ownEnd] = [from.places[parent], from.places[joint], to.places[own]];
    if (!start || !end || !ownEnd || !above) return [];
    const [was, is] = [direction(subtract(end, start)), direction(subtract(ownEnd, above))];
    return was && is ? [[was, is] as const] : [];
  });
  const off = (turn: Quaternion): number =>
    bones.reduce((sum, [was, is]) => sum + angleBetween(rotate(turn, was), is), 0);
  const asItIs = off(NO_TURN);
  if (!(asItIs > AS_IT_STANDS * bones.length)) return () => true;
  return (turn) => off(turn) < TELLING * asItIs;
}

/** The turn from a joint's frame to that of the joint that answers to it, in the world. */
export function turnFrom(from: Standing, to: Standing, joint: number, own: number): Quaternion {
  return multiplyQuaternions(to.turns[own] ?? NO_TURN, conjugate(from.turns[joint] ?? NO_TURN));
}

/** No turn, and those of the frames of several joints. */
export function turnsToTry(from: Standing, to: Standing, pairs: Pairs): Quaternion[] {
  const step = Math.max(1, Math.floor(pairs.length / ASKED));
  const asked = pairs.filter((_, index) => index % step === 0).slice(0, ASKED);
  return [NO_TURN, ...asked.map(([joint, own]) => turnFrom(from, to, joint, own))];
}

/** The middle number of each coordinate: one that is far off does not move it. */
function middleOf(points: readonly Vec3[]): Vec3 {
  const middle = (axis: 0 | 1 | 2): number => {
    const sorted = Float64Array.from(points, (point) => point[axis]).sort();
    return sorted[Math.floor(sorted.length / 2)] ?? 0;
  };
  return [middle(0), middle(1), middle(2)];
}

/** How joints stand, by their world matrices, 16 numbers each; mirrored in X where that is asked for. */
export function standingOf(
  places: readonly Vec3[],
  worldOf: (joint: number) => Mat4,
  mirrored = false,
): Standing {
  const flip = ([x, y, z]: Vec3): Vec3 => (mirrored ? [-x, y, z] : [x, y, z]);
  return {
    places: places.map(flip),
    turns: places.map((_, joint) => frameTurn(worldOf(joint), flip)),
  };
}

/** The turn of a frame; of a left-handed one, with its X axis the other way round. */
function frameTurn(matrix: Mat4, flip: (v: Vec3) => Vec3): Quaternion {
  const [x, y, z] = [column(matrix, 0), column(matrix, 1), column(matrix, 2)].map(flip);
  if (!x || !y || !z) return NO_TURN;
  const hand = determinant3([...pad(x), ...pad(y), ...pad(z), 0, 0, 0, 1]) < 0 ? -1 : 1;
  return quaternionOf(squareAxes([scale(x, hand), y, z]));
}

function pad([x, y, z]: Vec3): number[] {
  return [x, y, z, 0];
}
