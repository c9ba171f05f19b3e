import { identity, type Mat4, transformDirection } from '../rig/mat4.js';
import { angleBetween, cross, direction, type Vec3 } from '../rig/vec3.js';

/** Unit vectors along one bone in two skeletons. */
export type BonePair = readonly [from: Vec3, to: Vec3];

/** Turns that are tried, and bones that each is tried on: more tell nothing new. */
const [MOST_TURNS, MOST_BONES] = [48, 160];
/** Bones nearer to one line do not tell how a skeleton is turned about it. Degrees. */
const LEAST_APART = 15;
/** On average: a skeleton that is off by less stands as the other does. Degrees. */
const AS_IT_STANDS = 0.5;
/** A turn counts when it leaves less than this of what is off without it. Share. */
const TELLING = 0.5;

/**
 * The turn of a whole skeleton that lays most of its bones along those of another; none where that
 * mends less than half. A few bones that differ do not turn it, as they would a fit by least squares,
 * so that a skeleton laid over another parts from it only where they differ.
 *
 * @param among The turns that come into question, where these are known.
 */
export function wholeTurn(all: readonly BonePair[], among?: readonly Mat4[]): Mat4 {
  const bones = spread(all, MOST_BONES);
  const off = (turn: Mat4): number =>
    bones.reduce((sum, [from, to]) => sum + angleBetween(transformDirection(turn, from), to), 0);
  let [best, least] = [identity(), off(identity())];
  if (!(least > AS_IT_STANDS * bones.length)) return best;
  least *= TELLING;
  for (const turn of among ?? turnsOf(bones)) {
    const left = off(turn);
    if (left < least) [best, least] = [turn, left];
  }
  return best;
}

/** The turns that take a bone and another that is not along it to their counterparts. */
function turnsOf(bones: readonly BonePair[]): Mat4[] {
  return spread(bones, MOST_TURNS).flatMap((one) => {
    const other = bones.find((pair) => isApart(one[0], pair[0]) && isApart(one[1], pair[1]));
    const [from, to] = [triad(one[0], other?.[0]), triad(one[1], other?.[1])];
    return from && to ? [fromTo(from, to)] : [];
  });
}

function isApart(a: Vec3, b: Vec3): boolean {
  const angle = angleBetween(a, b);
  return angle > LEAST_APART && angle < 180 - LEAST_APART;
}

/** Three unit vectors square to each other, by two directions. */
function triad(first: Vec3, second: Vec3 | undefined): readonly [Vec3, Vec3, Vec3] | null {
  const third = second && direction(cross(first, second));
  return third ? [first, cross(third, first), third] : null;
}

/** The turn with R f = t for each of three: the sum of t f^T. */
function fromTo(from: readonly Vec3[], to: readonly Vec3[]): Mat4 {
  const turn = identity();
  for (let column = 0; column < 3; column++)
    for (let row = 0; row < 3; row++)
      turn[4 * column + row] = to.reduce(
        (sum, t, index) => sum + (t[row] ?? 0) * (from[index]?.[column] ?? 0),
        0,
      );
  return turn;
}

/** At most so many of a list, evenly taken. */
function spread<T>(list: readonly T[], most: number): readonly T[] {
  if (list.length <= most) return list;
  return list.filter(
    (_, index) =>
      Math.floor((index * most) / list.length) !== Math.floor(((index - 1) * most) / list.length),
  );
}
