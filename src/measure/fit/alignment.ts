import { boxAround, diagonal } from '../../rig/box.js';
import { quaternionOf, squareAxes } from '../../rig/decompose.js';
import { column, determinant3, type Mat4, mat4At } from '../../rig/mat4.js';
import { conjugate, multiplyQuaternions, type Quaternion, rotate } from '../../rig/quaternion.js';
import { add, distance, scale, subtract, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { approvedFacts, matching } from './matching.js';

/** How one side stands in the bind pose: world space, world units of its own asset. */
export interface Standing {
  readonly places: readonly Vec3[];
  /** Turn of each joint's frame in the world. */
  readonly turns: readonly Quaternion[];
}

/** The two skeletons laid over each other: larger, turned and moved as a whole is no difference. */
export interface Alignment {
  /** The approved rig, mirrored in X where the whole of this rig is. */
  readonly approved: Standing;
  readonly rig: Standing;
  /** How the whole of this rig is turned against the approved one. */
  readonly turn: Quaternion;
  /**
   * The turn of the topmost matched joint, where the rig may as well be turned as that is: with half of
   * a body turned, either half may be the one at fault, and the top holds the other. Else `turn`.
   */
  readonly topTurn: Quaternion;
  /** Size over size, as in the matching. */
  readonly scale: number;
  /** The diagonal of the box round the matched joints of this rig. */
  readonly size: number;
  /** Where a place of the approved rig is in this one. */
  toRig(place: Vec3): Vec3;
}

/** So many joints are asked how the whole rig is turned: one at fault must not be the only one. */
const ASKED = 6;
/** No joint counts for more than this when two ways to lay them over each other are compared. % of size. */
const MOST_OFF = 5;
/** Of two ways that leave joints off, one is as good up to so many times what the other leaves. */
const AS_GOOD = 2;

/**
 * Lays the approved rig over this one. Null where there is none or no joint is matched.
 *
 * The turn is that of the frame of one matched joint, or none: whichever brings the matched joints
 * nearest to where they are, with a bound on what each can count. A mean over all would be off by a
 * little wherever one limb is, and with it every frame; frames alone would say that a rig with other
 * axes in every joint is turned.
 */
export const alignment = fact((facts): Alignment | null => {
  const match = matching(facts);
  const theirs = approvedFacts(facts);
  if (match === null || theirs === null) return null;
  const pairs = [...match.ofApproved.entries()].filter(([, joint]) => joint !== -1);
  if (pairs.length === 0) return null;
  const mirrored = isMirrored(bonePose(theirs).world, bonePose(facts).world, pairs);
  const [approved, rig] = [standing(theirs, mirrored), standing(facts, false)];
  const { scale: k } = match;
  const at = (side: Standing, joint: number): Vec3 => side.places[joint] ?? [0, 0, 0];
  const size = diagonal(boxAround(pairs.map(([, joint]) => at(rig, joint))));
  const ways = turnsToTry(approved, rig, pairs).map((turn) => {
    const moved = (place: Vec3): Vec3 => scale(rotate(turn, place), k);
    const shift = middleOf(
      pairs.map(([joint, own]) => subtract(at(rig, own), moved(at(approved, joint)))),
    );
    const toRig = (place: Vec3): Vec3 => add(moved(place), shift);
    const bound = (MOST_OFF / 100) * size;
    const off = pairs.reduce(
      (sum, [joint, own]) =>
        sum + Math.min(bound, distance(at(rig, own), toRig(at(approved, joint)))),
      0,
    );
    return { turn, toRig, off };
  });
  // Rounding must not choose between ways that are as good: the first is no turn at all.
  const rounding = 1e-6 * size * pairs.length;
  const least = Math.min(...ways.map(({ off }) => off)) + rounding;
  const best = ways.find(({ off }) => off <= least);
  if (best === undefined) return null;
  const { turn, toRig } = best;
  const top = ways[1];
  const topTurn = top !== undefined && top.off <= AS_GOOD * least ? top.turn : turn;
  return { approved, rig, scale: k, size, turn, topTurn, toRig };
});

/** The turn from an approved joint's frame to that of the joint that answers to it, in the world. */
export function turnBetween(
  { approved, rig }: Pick<Alignment, 'approved' | 'rig'>,
  joint: number,
  own: number,
): Quaternion {
  const [from, to] = [approved.turns[joint] ?? NO_TURN, rig.turns[own] ?? NO_TURN];
  return multiplyQuaternions(to, conjugate(from));
}

export const NO_TURN: Quaternion = [0, 0, 0, 1];

type Pairs = readonly (readonly [joint: number, own: number])[];

function turnsToTry(approved: Standing, rig: Standing, pairs: Pairs): Quaternion[] {
  const step = Math.max(1, Math.floor(pairs.length / ASKED));
  const asked = pairs.filter((_, index) => index % step === 0).slice(0, ASKED);
  return [NO_TURN, ...asked.map(([joint, own]) => turnBetween({ approved, rig }, joint, own))];
}

/** The middle number of each coordinate: one that is far off does not move it. */
function middleOf(points: readonly Vec3[]): Vec3 {
  const middle = (axis: 0 | 1 | 2): number => {
    const sorted = Float64Array.from(points, (point) => point[axis]).sort();
    return sorted[Math.floor(sorted.length / 2)] ?? 0;
  };
  return [middle(0), middle(1), middle(2)];
}

/** Whether most joints are left-handed on one side alone: a rig under a holder that mirrors it. */
function isMirrored(approved: Float64Array, rig: Float64Array, pairs: Pairs): boolean {
  const opposite = pairs.filter(
    ([joint, own]) => determinant3(mat4At(approved, joint)) * determinant3(mat4At(rig, own)) < 0,
  );
  return opposite.length * 2 > pairs.length;
}

function standing(facts: Facts, mirrored: boolean): Standing {
  const { places, world } = bonePose(facts);
  const flip = ([x, y, z]: Vec3): Vec3 => (mirrored ? [-x, y, z] : [x, y, z]);
  return {
    places: places.map(flip),
    turns: places.map((_, joint) => frameTurn(mat4At(world, joint), flip)),
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
