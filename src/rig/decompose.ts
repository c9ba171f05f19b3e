import { column, determinant3, type Mat4 } from './mat4.js';
import { cross, direction, dot, length, type Vec3 } from './vec3.js';

/** Translation, unit quaternion (x, y, z, w) and scale of a local matrix. */
export interface Trs {
  readonly translation: Vec3;
  readonly rotation: readonly [number, number, number, number];
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
 * A mirroring matrix can be split in three ways; the one that turns least is taken, so that a
 * mirrored holder is not told to be turned as well.
 */
export function decompose(matrix: Mat4): Trs {
  const columns = [column(matrix, 0), column(matrix, 1), column(matrix, 2)] as const;
  const sizes: Vec3 = [length(columns[0]), length(columns[1]), length(columns[2])];
  const translation = column(matrix, 3);
  const mirrored = determinant3(matrix) < 0;
  const flips: Vec3[] = mirrored
    ? [
        [-1, 1, 1],
        [1, -1, 1],
        [1, 1, -1],
        [-1, -1, -1],
      ]
    : [[1, 1, 1]];
  let best: Trs | null = null;
  for (const flip of flips) {
    const rotation = quaternionOf(
      squareAxes(
        columns.map((axis, i) => axis.map((part) => part * (flip[i] ?? 1)) as unknown as Vec3),
      ),
    );
    const scale: Vec3 = [sizes[0] * flip[0], sizes[1] * flip[1], sizes[2] * flip[2]];
    if (best === null || Math.abs(rotation[3]) > Math.abs(best.rotation[3]) + 1e-9) {
      best = { translation, rotation, scale };
    }
  }
  return best ?? { translation, rotation: [0, 0, 0, 1], scale: sizes };
}

/** Three unit vectors square to each other, right-handed, as near to the given ones as their order allows. */
export function squareAxes(axes: readonly Vec3[]): readonly [Vec3, Vec3, Vec3] {
  const x = direction(axes[0] ?? [1, 0, 0]) ?? [1, 0, 0];
  const rawY = axes[1] ?? [0, 1, 0];
  const along = dot(rawY, x);
  const y =
    direction([rawY[0] - along * x[0], rawY[1] - along * x[1], rawY[2] - along * x[2]]) ??
    direction(cross(axes[2] ?? [0, 0, 1], x)) ??
    (Math.abs(x[0]) < 0.9 ? (direction(cross(x, [1, 0, 0])) ?? [0, 1, 0]) : [0, 1, 0]);
  return [x, y, cross(x, y)];
}

/** Quaternion of a rotation given by its three axes (columns); Shepperd 1978. */
export function quaternionOf(
  axes: readonly [Vec3, Vec3, Vec3],
): readonly [number, number, number, number] {
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
export function turnDegrees(rotation: readonly [number, number, number, number]): number {
  const sine = Math.hypot(rotation[0], rotation[1], rotation[2]);
  return (2 * Math.atan2(sine, Math.abs(rotation[3])) * 180) / Math.PI;
}
