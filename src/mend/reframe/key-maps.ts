import { decompose, skew, type Trs } from '../../rig/decompose.js';
import {
  compose,
  determinant3,
  type Mat4,
  multiply,
  origin,
  transformDirection,
} from '../../rig/mat4.js';
import { multiplyQuaternions, type Quaternion } from '../../rig/quaternion.js';
import { add, length, scale as scaled, type Vec3 } from '../../rig/vec3.js';
import { apart, diagonal, linearPart, polar, rotationOf, scaling, transposed } from './linear.js';
import {
  inverseOf,
  isNoChange,
  isTurned,
  matrixOf,
  moved,
  nearOne,
  type Similarity,
  turnAlone,
  turnedAndScaled,
} from './similarity.js';

/** What one clip does to one node. */
export interface Keys {
  readonly movesOrScales: boolean;
  readonly turnsOrScales: boolean;
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

/**
 * The maps of a node whose parent's C and own C are similarities P and C: L = T R S becomes P^-1 L C, a
 * rotation P^-1 R C, a scale times that of C over that of P. Exact for curves of any kind, as long as C
 * moves nothing and turns no unequal scale. What does not change has no map, so that it keeps its bytes.
 */
export function exactMaps(above: Similarity, frame: Similarity): KeyMaps {
  const before = inverseOf(above);
  const factor = nearOne(frame.scale * before.scale);
  return {
    ...(!isNoChange(before) && {
      translation: (value, isTangent) =>
        isTangent ? turnedAndScaled(before, value) : moved(before, value),
    }),
    ...((isTurned(before) || isTurned(frame)) && {
      rotation: (value) =>
        multiplyQuaternions(multiplyQuaternions(before.rotation, value), frame.rotation),
    }),
    ...(factor !== 1 && { scale: (value) => scaled(value, factor) }),
  };
}

/** Two maps that differ by less are the same to float32. Share. */
const SAME = 2e-6;

/**
 * With a local matrix L(t) = T R S to become A L(t) D, A and D constant: the maps of its keys, or null
 * where even what is stored cannot be kept. A = a Q P, a turn after a stretch, may pass a rotation that P
 * commutes with: A R = Q R P, so that P goes over to the scale. Otherwise only a rotation that stays
 * the same can be kept. The maps are the same for what the node stores and for all its clips, so that
 * both go together; `isExact` tells whether they are exact for a clip. `before` is A, `after` is D; the
 * stretch has to pass the `turns` that clips mix, span by span.
 */
export function nodeMaps(
  before: Mat4,
  after: Mat4,
  stored: Trs,
  turns: Keys['turns'],
): (Required<KeyMaps> & { readonly isExact: (keys: Keys) => boolean }) | null {
  const front = polar(before);
  if (front === null) return null;
  const local = compose([0, 0, 0], stored.rotation, stored.scale);
  const shift = transformDirection(local, origin(after));
  const [linear, end] = [linearPart(before), linearPart(after)];
  const constant = add(transformDirection(linear, shift), origin(before));
  const passes = [[stored.rotation], ...turns].every((span) => isPassed(front.stretch, span));
  // What follows the rotation that varies: P S D, or all of it where none does.
  const lead = passes ? front.stretch : multiply(linear, matrixOf(turnAlone(stored.rotation)));
  const tail = (scale: Vec3): Mat4 => multiply(multiply(lead, scaling(scale)), end);
  const rest = tail(stored.scale);
  if (skew(rest) > SAME) return null;
  // One that mirrors keeps its sign in the scale.
  const rotation = determinant3(rest) < 0 ? decompose(rest).rotation : rotationOf(rest);
  const turn = matrixOf(turnAlone(rotation));
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
    scale: (value) => diagonal(scaleOf(value)),
    isExact: (keys) =>
      // Keys that only move a place take a constant along.
      !(length(shift) > 0 && keys.turnsOrScales && !repeats(keys, stored)) &&
      (passes || keys.turns.flat().every((turn) => isAlong(turn, stored.rotation))) &&
      keys.scales.every((scale) => isDiagonal(scaleOf(scale))),
  };
}

/**
 * Whether a stretch commutes with every rotation that a curve mixes of some quaternions. Whether it does
 * is a form that is quadratic in the quaternion, so it is zero on all sums of them if it is zero on each
 * and on the sum of each two.
 */
function isPassed(stretch: Mat4, span: readonly Quaternion[]): boolean {
  return span.every((a, at) =>
    span.slice(at).every((b) => {
      const sum: Quaternion = [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]];
      const size = Math.hypot(...sum);
      if (!(size > 1e-12)) return true;
      const [x, y, z, w] = sum;
      const turn = matrixOf(turnAlone([x / size, y / size, z / size, w / size]));
      return apart(multiply(stretch, turn), multiply(turn, stretch)) < SAME;
    }),
  );
}

/** Whether keys turn and scale by no more than what is stored. */
function repeats({ turns, scales }: Keys, { rotation, scale }: Trs): boolean {
  return (
    turns.flat().every((turn) => isAlong(turn, rotation)) &&
    scales.every((key) => key.every((value, at) => Math.abs(value - (scale[at] ?? 1)) < SAME))
  );
}

/** Whether a key or a tangent only repeats a turn, whatever its length. */
function isAlong(key: Quaternion, turn: Quaternion): boolean {
  const along = key[0] * turn[0] + key[1] * turn[1] + key[2] * turn[2] + key[3] * turn[3];
  const off = Math.hypot(...key.map((value, at) => value - along * (turn[at] ?? 0)));
  return off <= (SAME * Math.max(1, Math.abs(along))) / 2;
}

function isDiagonal(matrix: Mat4): boolean {
  return apart(matrix, scaling(diagonal(matrix))) < SAME;
}
