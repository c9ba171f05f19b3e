import { column, mat4At } from '../../rig/mat4.js';
import { degrees, direction, dot, radians, type Vec3 } from '../../rig/vec3.js';
import { type Axis, type Facts, fact } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import type { Frame } from './frame.js';

/** Scale is taken out; a skewed frame keeps its skew. */
export const frames = fact((facts): readonly Frame[] => {
  const { world } = bonePose(facts);
  return Array.from({ length: facts.rig.joints.count }, (_, joint) => {
    const matrix = mat4At(world, joint);
    return [
      direction(column(matrix, 0)) ?? [1, 0, 0],
      direction(column(matrix, 1)) ?? [0, 1, 0],
      direction(column(matrix, 2)) ?? [0, 0, 1],
    ];
  });
});

const NOWHERE: Vec3 = [0, 0, 0];

/** The world direction of one signed axis of a joint. */
export function axisWorld(facts: Facts, joint: number, axis: Axis): Vec3 {
  const along = frames(facts)[joint]?.[axis.index] ?? NOWHERE;
  return [axis.sign * along[0], axis.sign * along[1], axis.sign * along[2]];
}

/** What a cosine is given besides, so that rounding leaves nothing out. */
const SPARE = 1e-3;

/**
 * The signed axes of a joint that may lie within `limit` degrees (less than 90) of a unit vector, X first:
 * those farther off are told by a product, and of the others `angleBetween` has to tell.
 */
export function axesNear(facts: Facts, joint: number, to: Vec3, limit: number): Axis[] {
  const frame = frames(facts)[joint];
  const least = Math.cos(radians(limit)) - SPARE;
  const near: Axis[] = [];
  for (const index of [0, 1, 2] as const) {
    const cosine = frame === undefined ? 0 : dot(frame[index], to);
    if (Math.abs(cosine) > least) near.push({ index, sign: cosine > 0 ? 1 : -1 });
  }
  return near;
}

/** Angle in degrees of the rotation that takes one frame to another, 0 to 180. */
export function frameAngle(a: Frame, b: Frame): number {
  // trace(A^T B) = 1 + 2 cos(angle) for rotations; the sine comes from the skew part.
  const cosine = (dot(a[0], b[0]) + dot(a[1], b[1]) + dot(a[2], b[2]) - 1) / 2;
  const sx = dot(a[2], b[1]) - dot(a[1], b[2]);
  const sy = dot(a[0], b[2]) - dot(a[2], b[0]);
  const sz = dot(a[1], b[0]) - dot(a[0], b[1]);
  return degrees(Math.atan2(Math.hypot(sx, sy, sz) / 2, cosine));
}

/** Whether frames differ by quarter and half turns; null for others. `tolerance` in degrees. */
export function squareTo(a: Frame, b: Frame, tolerance: number): 'same' | 'turned' | null {
  const limit = Math.cos(radians(tolerance));
  let same = true;
  for (let i = 0; i < 3; i++) {
    const products = a.map((axis) => dot(axis, b[i] ?? [0, 0, 0]));
    const best = products.findIndex((value) => Math.abs(value) >= limit);
    if (best === -1) return null;
    if (best !== i || (products[i] ?? 0) < 0) same = false;
  }
  return same ? 'same' : 'turned';
}
