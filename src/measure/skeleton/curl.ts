import { LETTERS, type Letter } from '../../rig/letters.js';
import {
  column,
  determinant3,
  invert,
  type Mat4,
  mat4At,
  multiply,
  origin,
  transformDirection,
} from '../../rig/mat4.js';
import { angleBetween, cross, direction, scale, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { aimAxisOf } from './chains.js';
import { conventions } from './conventions.js';
import { type CurlChain, type CurledChain, judgedCurl } from './curl-pose.js';
import type { Frame } from './frame.js';
import { type SegmentRoll, segmentRolls } from './roll.js';

/** A segment of three joints or more that can be curled. */
export interface CurledSegment {
  readonly joints: readonly number[];
  readonly chain: CurlChain;
  /** For each joint, how far its X, Y and Z axis are off the carried ones. Degrees. */
  readonly off: readonly (readonly [number, number, number])[];
}

/** How far a curl of one segment strays from the curl its carried frames would give. */
export interface Curl extends Omit<CurledChain, 'worst'> {
  readonly joints: readonly number[];
  /** What the letter is in the convention of the rig. */
  readonly role: 'up' | 'side';
  /** Joints that bend the segment and whose axis is off the carried one by more than rounding. */
  readonly straying: readonly number[];
  /** Joint that strays farthest. */
  readonly worst: number;
}

/** An axis off the carried one by less is as good as on it. Degrees. */
const STRAYING_DEGREES = 1;

/** The segments of three joints or more, as they curl from the bind pose. */
export const curledSegments = fact((facts): readonly CurledSegment[] =>
  segmentRolls(facts)
    .filter((segment) => segment.joints.length >= 3)
    .flatMap((segment) => prepare(facts, segment) ?? []),
);

/**
 * How each segment strays that is curled as it is judged. On a straight segment the drift is how far
 * the curl leaves its plane.
 */
export const curls = fact((facts): readonly Curl[] =>
  curledSegments(facts).map(({ joints, chain, off }) => {
    const curl = judgedCurl(chain);
    const index = LETTERS.indexOf(curl.letter);
    // The last joint bends nothing of the segment.
    const straying = joints
      .slice(0, -1)
      .filter((_, place) => (off[place]?.[index] ?? 0) > STRAYING_DEGREES);
    const role = curl.letter === chain.letters.up ? 'up' : 'side';
    return { ...curl, joints, role, straying, worst: joints[curl.worst] ?? -1 };
  }),
);

/** Null where the rig shows no axes, or a frame of the segment has no inverse. */
function prepare(facts: Facts, segment: SegmentRoll): CurledSegment | null {
  const { joints, aims, carriedUps } = segment;
  // A joint that turns the other way than the first one that bends the segment is seen to do so.
  const [aim, { up }] = [aimAxisOf(facts, joints[1] ?? -1), conventions(facts)];
  if (aim === null || up === null) return null;
  const { world } = bonePose(facts);
  const matrices = joints.map((joint) => mat4At(world, joint));
  const inverses = matrices.flatMap((matrix) => invert(matrix) ?? []);
  if (inverses.length < joints.length) return null;
  const hands = matrices.map((matrix): 1 | -1 => (determinant3(matrix) < 0 ? -1 : 1));
  const hand = hands[1] ?? 1;
  const side = 3 - aim.index - up.index;
  const cyclic = (aim.index + 1) % 3 === up.index ? 1 : -1;
  const wanted = joints.map((_, place): Frame => {
    const along = scale(aims[place] ?? [1, 0, 0], aim.sign);
    const upward = scale(carriedUps[place] ?? [0, 1, 0], up.sign);
    const aside = scale(cross(along, upward), cyclic * hand);
    const at = (index: number): Vec3 =>
      index === aim.index ? along : index === up.index ? upward : aside;
    return [at(0), at(1), at(2)];
  });
  // A turn in a mirrored frame runs the other way round its axis.
  const carried = wanted.map((axes, place) =>
    each(axes, (axis) => scale(axis, hand * (hands[place] ?? 1))),
  );
  const letterOf = (index: number): Letter => LETTERS[index] ?? 'X';
  return {
    joints,
    chain: {
      steps: matrices.map((matrix, place) => {
        const above = inverses[place - 1];
        const step = above === undefined ? matrix : multiply(above, matrix);
        return { axes: columns(step), at: origin(step) };
      }),
      carried: carried.map((axes, place) =>
        each(axes, (axis, index) => {
          const own: Vec3 = [index === 0 ? 1 : 0, index === 1 ? 1 : 0, index === 2 ? 1 : 0];
          const inverse = inverses[place];
          if (place === 0 || inverse === undefined) return own;
          return direction(transformDirection(inverse, axis)) ?? own;
        }),
      ),
      letters: { up: letterOf(up.index), side: letterOf(side) },
    },
    off: matrices.map((matrix, place) =>
      each(carried[place] ?? columns(matrix), (axis, index) =>
        angleBetween(column(matrix, index), axis),
      ),
    ),
  };
}

function columns(matrix: Mat4): Frame {
  return [column(matrix, 0), column(matrix, 1), column(matrix, 2)];
}

/** The same of X, Y and Z. */
function each<Out>(
  [x, y, z]: Frame,
  make: (axis: Vec3, index: number) => Out,
): readonly [Out, Out, Out] {
  return [make(x, 0), make(y, 1), make(z, 2)];
}
