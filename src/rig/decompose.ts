import { column, determinant3, type Mat4 } from './mat4.js';
import type { Quaternion } from './quaternion.js';
import { cross, degrees, direction, dot, length, reject, scale, type Vec3 } from './vec3.js';

/** Translation, unit quaternion (x, y, z, w) and scale of a local matrix. */
export interface Trs {
  readonly translation: Vec3;
  readonly rotation: Quaternion;
  /** Signed: one axis or all three are negative when the matrix mirrors. */
  readonly scale: Vec3;
}

/** Geometric mean of the magnitudes of three scale factors. */
export function meanFactor([x, y, z]: Vec3): number {
  return Math.cbrt(Math.abs(x * y * z));
}

/**
 * Splits a matrix into T x R x S. Where the axes are skewed, the rotation is that of the axes made
 * square one after the other (Gram-Schmidt); what is lost is what `skew` measures.
 *
 * A mirroring matrix can be split with several flips of its axes; the one that turns least is taken, so
 * that a mirrored holder is not reported as turned as well.
 */
export function decompose(matrix: Mat4): Trs {
  const [x, y, z] = [column(matrix, 0), column(matrix, 1), column(matrix, 2)];
  const flips = determinant3(matrix) < 0 ? MIRRORS : UNCHANGED;
  const splits = flips.map(
    (flip): Trs => ({
      translation: column(matrix, 3),
      rotation: quaternionOf(squareAxes([scale(x, flip[0]), scale(y, flip[1]), scale(z, flip[2])])),
      scale: [length(x) * flip[0], length(y) * flip[1], length(z) * flip[2]],
    }),
  );
  return splits.reduce((best, split) =>
    Math.abs(split.rotation[3]) > Math.abs(best.rotation[3]) + 1e-9 ? split : best,
  );
}

const UNCHANGED: readonly Vec3[] = [[1, 1, 1]];
const MIRRORS: readonly Vec3[] = [
  [-1, 1, 1],
  [1, -1, 1],
  [1, 1, -1],
  [-1, -1, -1],
];

/** Three unit vectors square to each other, right-handed, as near to the given ones as their order allows. */
export function squareAxes(axes: readonly Vec3[]): readonly [Vec3, Vec3, Vec3] {
  const x = direction(axes[0] ?? [1, 0, 0]) ?? [1, 0, 0];
  const rawY = axes[1] ?? [0, 1, 0];
  const y =
    direction(reject(rawY, x)) ??
    direction(cross(axes[2] ?? [0, 0, 1], x)) ??
    (Math.abs(x[0]) < 0.9 ? (direction(cross(x, [1, 0, 0])) ?? [0, 1, 0]) : [0, 1, 0]);
  return [x, y, cross(x, y)];
}

/** Quaternion of a rotation given by its three axes (columns); Shepperd 1978. */
export function quaternionOf(axes: readonly [Vec3, Vec3, Vec3]): Quaternion {
  const [[m00, m10, m20], [m01, m11, m21], [m02, m12, m22]] = axes;
  const trace = m00 + m11 + m22;
  let q: [number, number, number, number];
  if (trace > 0) {
    const s = 2 * Math.sqrt(trace + 1);
    q = [(m21 - m12) / s, (m02 - m20) / s, (m10 - m01) / s, s / 4];
  } else if (m00 > m11 && m00 > m22) {
    const s = 2 * Math.sqrt(1 + m00 - m11 - m22);
    q = [s / 4, (m01 + m10) / s, (m02 + m20) / s, (m21 - m12) / s];
  } else if (m11 > m22) {
    const s = 2 * Math.sqrt(1 + m11 - m00 - m22);
    q = [(m01 + m10) / s, s / 4, (m12 + m21) / s, (m02 - m20) / s];
  } else {
    const s = 2 * Math.sqrt(1 + m22 - m00 - m11);
    q = [(m02 + m20) / s, (m12 + m21) / s, s / 4, (m10 - m01) / s];
  }
  const size = Math.hypot(...q);
  return [q[0] / size, q[1] / size, q[2] / size, q[3] / size];
}

/** The largest cosine between two axes: 0 when the frame is square, in any scale. */
export function skew(matrix: ArrayLike<number>): number {
  const [x, y, z] = [column(matrix, 0), column(matrix, 1), column(matrix, 2)];
  return Math.max(cosine(x, y), cosine(x, z), cosine(y, z));
}

/** Magnitude of the cosine between two vectors; 0 when one has no length. */
function cosine(a: Vec3, b: Vec3): number {
  const sizes = Math.sqrt(dot(a, a)) * Math.sqrt(dot(b, b));
  return sizes > 0 ? Math.abs(dot(a, b)) / sizes : 0;
}

/** Angle in degrees of a rotation, 0 to 180. */
export function turnDegrees([x, y, z, w]: Quaternion): number {
  return degrees(2 * Math.atan2(Math.hypot(x, y, z), Math.abs(w)));
}
