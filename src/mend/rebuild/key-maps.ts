import { decompose, skew } from '../../rig/decompose.js';
import { compose, determinant3, type Mat4, multiply, transformDirection } from '../../rig/mat4.js';
import { multiplyQuaternions, type Quaternion } from '../../rig/quaternion.js';
import { add, type Vec3 } from '../../rig/vec3.js';
import { apart, linearPart, polar, rotationOf, scaling, transposed } from './linear.js';
import type { Stored } from './stored.js';

/** The keys of one clip for one node, tangents left out. */
export interface Keys {
  readonly translation: readonly Vec3[];
  readonly rotation: readonly Quaternion[];
  readonly scale: readonly Vec3[];
}

/** What becomes of keys: constant products, which are linear, so that curves of any kind stay exact. */
export interface KeyMaps {
  translation(value: Vec3, isTangent: boolean): Vec3;
  rotation(value: Quaternion, isTangent: boolean): Quaternion;
  scale(value: Vec3): Vec3;
}

/** Below this two maps are one, as far as float32 tells. Share. */
const SAME = 2e-6;

/**
 * With a local matrix L(t) = T R S to become A L(t) D, A and D constant: the maps of its keys, or null
 * where no constant map of keys does it. A = a Q P, a turn after a stretch, may pass a rotation that P
 * commutes with: A R = Q R P, so that P goes over to the scale. Where it does not, only a rotation that
 * stands still can be kept.
 *
 * @param before A, 4 x 4. @param after D, 4 x 4.
 */
export function keyMaps(before: Mat4, after: Mat4, stored: Stored, keys: Keys): KeyMaps | null {
  const front = polar(before);
  if (front === null) return null;
  const local = compose([0, 0, 0], stored.rotation, stored.scale);
  const shift = transformDirection(local, [after[12] ?? 0, after[13] ?? 0, after[14] ?? 0]);
  const isShifted = Math.hypot(...shift) > 0;
  if (isShifted && keys.rotation.length + keys.scale.length > 0) return null;
  const [linear, end] = [linearPart(before), linearPart(after)];
  const constant = add(transformDirection(linear, shift), [
    before[12] ?? 0,
    before[13] ?? 0,
    before[14] ?? 0,
  ]);
  const translation = (value: Vec3, isTangent: boolean): Vec3 => {
    const turned = transformDirection(linear, value);
    return isTangent ? turned : add(turned, constant);
  };
  const passes = [stored.rotation, ...keys.rotation].every((rotation) => {
    const turn = compose([0, 0, 0], rotation, [1, 1, 1]);
    return apart(multiply(front.stretch, turn), multiply(turn, front.stretch)) < SAME;
  });
  const stands = keys.rotation.every((rotation) => isSameTurn(rotation, stored.rotation));
  if (!passes && !stands) return null;
  // What stands after the rotation that varies: P S D, or all of it where none does.
  const lead = passes
    ? front.stretch
    : multiply(linear, compose([0, 0, 0], stored.rotation, [1, 1, 1]));
  const tail = (scale: Vec3): Mat4 => multiply(multiply(lead, scaling(scale)), end);
  const rest = tail(stored.scale);
  if (skew(rest) > SAME) return null;
  const turn = rotationMatrix(rest);
  const scaleOf = (scale: Vec3): Mat4 => multiply(transposed(turn), tail(scale));
  if (!keys.scale.every((scale) => isDiagonal(scaleOf(scale)))) return null;
  const [first, last] = [rotationOf(front.turn), rotationOf(turn)];
  const rotation = (value: Quaternion, isTangent: boolean): Quaternion => {
    if (!passes) return isTangent ? [0, 0, 0, 0] : last;
    return multiplyQuaternions(multiplyQuaternions(first, value), last);
  };
  const scale = (value: Vec3): Vec3 => {
    const made = scaleOf(value);
    return [made[0] ?? 0, made[5] ?? 0, made[10] ?? 0];
  };
  return { translation, rotation, scale };
}

function rotationMatrix(square: Mat4): Mat4 {
  // One that mirrors keeps its sign in the scale.
  const rotation =
    determinant3(square) < 0 ? decompose(square).rotation : rotationOf(linearPart(square));
  return compose([0, 0, 0], rotation, [1, 1, 1]);
}

function isSameTurn(a: Quaternion, b: Quaternion): boolean {
  const cosine = Math.abs(a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + a[3] * b[3]);
  const sizes = Math.hypot(...a) * Math.hypot(...b);
  // 1 - cos(x / 2) is x^2 / 8.
  return sizes > 0 && 1 - cosine / sizes < (SAME * SAME) / 8 + 1e-13;
}

function isDiagonal(matrix: Mat4): boolean {
  const diagonal = scaling([matrix[0] ?? 0, matrix[5] ?? 0, matrix[10] ?? 0]);
  return apart(matrix, diagonal) < SAME;
}
