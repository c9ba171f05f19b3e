import { decompose, skew } from '../../rig/decompose.js';
import { compose, determinant3, type Mat4, multiply, transformDirection } from '../../rig/mat4.js';
import { multiplyQuaternions, type Quaternion } from '../../rig/quaternion.js';
import { add, type Vec3 } from '../../rig/vec3.js';
import { apart, linearPart, polar, rotationOf, scaling, transposed } from './linear.js';
import type { Stored } from './stored.js';

/** What one clip does to one node. */
export interface Keys {
  /** Whether it moves the node at all by this path. */
  readonly moves: boolean;
  /** Between each two keys all that is mixed there: both keys, and for a spline its tangents. */
  readonly turns: readonly (readonly Quaternion[])[];
  readonly scales: readonly Vec3[];
}

/**
 * What becomes of keys: constant products, which are linear, so that curves of any kind stay exact.
 * Tangents of a cubic spline are differences, which take no move (glTF 2.0, C.5). Keys without a map stay.
 */
export interface KeyMaps {
  readonly translation?: (value: Vec3, isTangent: boolean) => Vec3;
  readonly rotation?: (value: Quaternion, isTangent: boolean) => Quaternion;
  readonly scale?: (value: Vec3) => Vec3;
}

/** The maps of a node, the same for what it stores and for all clips, so that both go together. */
export interface NodeMaps extends Required<KeyMaps> {
  /** Whether the maps are exact for a clip. */
  readonly isExact: (keys: Keys) => boolean;
}

/** Below this two maps are one, as far as float32 tells. Share. */
const SAME = 2e-6;

/**
 * With a local matrix L(t) = T R S to become A L(t) D, A and D constant: the maps of its keys, or null
 * where even what is stored cannot be kept. A = a Q P, a turn after a stretch, may pass a rotation that P
 * commutes with: A R = Q R P, so that P goes over to the scale. Where it does not, only a rotation that
 * stands still can be kept.
 *
 * @param before A, 4 x 4. @param after D, 4 x 4.
 * @param turns Rotations that clips mix, span by span: they say what the stretch has to pass.
 */
export function nodeMaps(
  before: Mat4,
  after: Mat4,
  stored: Stored,
  turns: readonly (readonly Quaternion[])[],
): NodeMaps | null {
  const front = polar(before);
  if (front === null) return null;
  const local = compose([0, 0, 0], stored.rotation, stored.scale);
  const shift = transformDirection(local, [after[12] ?? 0, after[13] ?? 0, after[14] ?? 0]);
  const isShifted = Math.hypot(...shift) > 0;
  const [linear, end] = [linearPart(before), linearPart(after)];
  const constant = add(transformDirection(linear, shift), [
    before[12] ?? 0,
    before[13] ?? 0,
    before[14] ?? 0,
  ]);
  const passes = [[stored.rotation], ...turns].every((span) => isPassed(front.stretch, span));
  // What stands after the rotation that varies: P S D, or all of it where none does.
  const lead = passes
    ? front.stretch
    : multiply(linear, compose([0, 0, 0], stored.rotation, [1, 1, 1]));
  const tail = (scale: Vec3): Mat4 => multiply(multiply(lead, scaling(scale)), end);
  const rest = tail(stored.scale);
  if (skew(rest) > SAME) return null;
  const turn = rotationMatrix(rest);
  const scaleOf = (scale: Vec3): Mat4 => multiply(transposed(turn), tail(scale));
  const [first, last] = [rotationOf(front.turn), rotationOf(turn)];
  return {
    translation(value, isTangent) {
      const turned = transformDirection(linear, value);
      return isTangent ? turned : add(turned, constant);
    },
    rotation(value, isTangent) {
      if (!passes) return isTangent ? [0, 0, 0, 0] : last;
      return multiplyQuaternions(multiplyQuaternions(first, value), last);
    },
    scale(value) {
      const made = scaleOf(value);
      return [made[0] ?? 0, made[5] ?? 0, made[10] ?? 0];
    },
    isExact: (keys) =>
      !(isShifted && keys.moves) &&
      (passes ||
        keys.turns.every((span) => span.every((item) => isAlong(item, stored.rotation)))) &&
      keys.scales.every((scale) => isDiagonal(scaleOf(scale))),
  };
}

/**
 * Whether a stretch commutes with every rotation that a curve mixes of some quaternions. What commutes is
 * told by a form that is quadratic in the quaternion, so that it is zero on all sums of them where it is
 * zero on each and on the sum of each two.
 */
function isPassed(stretch: Mat4, span: readonly Quaternion[]): boolean {
  return span.every((a, at) =>
    span.slice(at).every((b) => {
      const sum: Quaternion = [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]];
      const size = Math.hypot(...sum);
      if (!(size > 1e-12)) return true;
      const [x, y, z, w] = sum;
      const turn = compose([0, 0, 0], [x / size, y / size, z / size, w / size], [1, 1, 1]);
      return apart(multiply(stretch, turn), multiply(turn, stretch)) < SAME;
    }),
  );
}

function rotationMatrix(square: Mat4): Mat4 {
  // One that mirrors keeps its sign in the scale.
  const rotation =
    determinant3(square) < 0 ? decompose(square).rotation : rotationOf(linearPart(square));
  return compose([0, 0, 0], rotation, [1, 1, 1]);
}

/** Whether a key or a tangent only repeats a turn, whatever its length. */
function isAlong(item: Quaternion, turn: Quaternion): boolean {
  const along = item[0] * turn[0] + item[1] * turn[1] + item[2] * turn[2] + item[3] * turn[3];
  const off = Math.hypot(...item.map((value, at) => value - along * (turn[at] ?? 0)));
  return off <= (SAME * Math.max(1, Math.abs(along))) / 2;
}

function isDiagonal(matrix: Mat4): boolean {
  const diagonal = scaling([matrix[0] ?? 0, matrix[5] ?? 0, matrix[10] ?? 0]);
  return apart(matrix, diagonal) < SAME;
}
