import mat4 from 'gl-matrix/cjs/mat4.js';
import { cornersOf } from './box.js';
import { cross, distance, dot, type Vec3 } from './vec3.js';

/** 16 numbers, column-major, as in glTF 2.0. Always float64. */
export type Mat4 = Float64Array;

export function identity(): Mat4 {
  const out = new Float64Array(16);
  out[0] = out[5] = out[10] = out[15] = 1;
  return out;
}

/** A view of matrix `index` in an array of matrices. */
export function mat4At(array: Float64Array, index: number): Mat4 {
  return array.subarray(16 * index, 16 * index + 16);
}

/** T x R x S (glTF 2.0, 3.5.3 Transformations). `rotation` is a unit quaternion x, y, z, w. */
export function compose(
  translation: ArrayLike<number>,
  rotation: ArrayLike<number>,
  scale: ArrayLike<number>,
  out: Mat4 = new Float64Array(16),
): Mat4 {
  mat4.fromRotationTranslationScale(
    out,
    [rotation[0] ?? 0, rotation[1] ?? 0, rotation[2] ?? 0, rotation[3] ?? 1],
    [translation[0] ?? 0, translation[1] ?? 0, translation[2] ?? 0],
    [scale[0] ?? 1, scale[1] ?? 1, scale[2] ?? 1],
  );
  return out;
}

/** a x b. `out` may be one of them. */
export function multiply(a: Mat4, b: Mat4, out: Mat4 = new Float64Array(16)): Mat4 {
  mat4.multiply(out, a, b);
  return out;
}

/**
 * The inverse, or null when there is none. Singular means that the determinant is nothing beside
 * the product of the column lengths, whatever the unit; a tiny scale alone is no reason.
 */
export function invert(a: Mat4): Mat4 | null {
  const product = columnLength(a, 0) * columnLength(a, 1) * columnLength(a, 2);
  if (!(product > 0) || !(Math.abs(determinant3(a)) > 1e-9 * product)) return null;
  const out = new Float64Array(16);
  if (mat4.invert(out, a) === null) return null;
  return out.every(Number.isFinite) ? out : null;
}

/** Determinant of the upper left 3 x 3 part: the change of volume, negative when it mirrors. */
export function determinant3(a: ArrayLike<number>): number {
  const [x, y, z] = [column(a, 0), column(a, 1), column(a, 2)];
  return dot(x, cross(y, z));
}

/** Column 0 to 3 as a vector: an axis direction with its scale, or the place. */
export function column(a: ArrayLike<number>, index: number): Vec3 {
  return [a[4 * index] ?? 0, a[4 * index + 1] ?? 0, a[4 * index + 2] ?? 0];
}

export function columnLength(a: ArrayLike<number>, index: number): number {
  const axis = column(a, index);
  return Math.sqrt(dot(axis, axis));
}

/** The place of the frame's origin. */
export function origin(a: ArrayLike<number>): Vec3 {
  return column(a, 3);
}

export function transformPoint(a: ArrayLike<number>, p: Vec3): Vec3 {
  return [
    (a[0] ?? 0) * p[0] + (a[4] ?? 0) * p[1] + (a[8] ?? 0) * p[2] + (a[12] ?? 0),
    (a[1] ?? 0) * p[0] + (a[5] ?? 0) * p[1] + (a[9] ?? 0) * p[2] + (a[13] ?? 0),
    (a[2] ?? 0) * p[0] + (a[6] ?? 0) * p[1] + (a[10] ?? 0) * p[2] + (a[14] ?? 0),
  ];
}

export function transformDirection(a: ArrayLike<number>, v: Vec3): Vec3 {
  return [
    (a[0] ?? 0) * v[0] + (a[4] ?? 0) * v[1] + (a[8] ?? 0) * v[2],
    (a[1] ?? 0) * v[0] + (a[5] ?? 0) * v[1] + (a[9] ?? 0) * v[2],
    (a[2] ?? 0) * v[0] + (a[6] ?? 0) * v[1] + (a[10] ?? 0) * v[2],
  ];
}

/** Largest difference of two matrices over a box: how far apart they take any point of it. */
export function largestShift(a: Mat4, b: Mat4, min: Vec3, max: Vec3): number {
  return Math.max(
    ...cornersOf({ min, max }).map((p) => distance(transformPoint(a, p), transformPoint(b, p))),
  );
}
