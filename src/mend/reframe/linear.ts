import { quaternionOf, squareAxes } from '../../rig/decompose.js';
import { column, determinant3, identity, invert, type Mat4, multiply } from '../../rig/mat4.js';
import type { Quaternion } from '../../rig/quaternion.js';
import type { Vec3 } from '../../rig/vec3.js';
import { EVEN } from '../carry/frame-change.js';

export function linearPart(matrix: ArrayLike<number>): Mat4 {
  const out = Float64Array.from(matrix);
  out[12] = out[13] = out[14] = 0;
  return out;
}

export function transposed(matrix: Mat4): Mat4 {
  return matrix.map((_, at) => matrix[4 * (at % 4) + Math.floor(at / 4)] ?? 0);
}

/** diag(x, y, z, 1). */
export function scaling([x, y, z]: Vec3): Mat4 {
  return Float64Array.of(x, 0, 0, 0, 0, y, 0, 0, 0, 0, z, 0, 0, 0, 0, 1);
}

export function diagonal(matrix: Mat4): Vec3 {
  return [matrix[0] ?? 0, matrix[5] ?? 0, matrix[10] ?? 0];
}

/** Newton's iteration has converged by then, except for degenerate matrices. */
const STEPS = 40;

/**
 * A linear map as a turn after a symmetric stretch, A = Q P. A mirroring map has a stretch that is
 * negative. Null for one without an inverse. Newton's iteration, Q <- (Q + Q^-T) / 2 (Higham 1986,
 * "Computing the polar decomposition - with applications").
 */
export function polar(map: Mat4): { turn: Mat4; stretch: Mat4 } | null {
  const linear = linearPart(map);
  const sign = determinant3(linear) < 0 ? -1 : 1;
  let turn = linear.map((value, at) => (at === 15 ? 1 : sign * value));
  for (let step = 0; step < STEPS; step++) {
    const inverse = invert(turn);
    if (inverse === null) return null;
    const back = transposed(inverse);
    const next = turn.map((value, at) => (value + (back[at] ?? 0)) / 2);
    const change = Math.max(...next.map((value, at) => Math.abs(value - (turn[at] ?? 0))));
    turn = next;
    if (change < 1e-15) break;
  }
  return { turn, stretch: multiply(transposed(turn), linear) };
}

/** The rotation of a matrix whose axes are square, or are made so one after the other. */
export function rotationOf(matrix: Mat4): Quaternion {
  return quaternionOf(squareAxes([column(matrix, 0), column(matrix, 1), column(matrix, 2)]));
}

/** Largest difference of two linear maps, relative to the larger of them. */
export function apart(a: Mat4, b: Mat4): number {
  let [most, size] = [0, 0];
  for (let at = 0; at < 11; at++) {
    const [x, y] = [a[at] ?? 0, b[at] ?? 0];
    most = Math.max(most, Math.abs(x - y));
    size = Math.max(size, Math.abs(x), Math.abs(y));
  }
  return size > 0 ? most / size : 0;
}

/** Sweeps over all pairs of axes; three are enough for 3 x 3 in float64. */
const SWEEPS = 12;

const PAIRS = [
  [0, 1],
  [0, 2],
  [1, 2],
] as const;

/**
 * A symmetric map as a scaling along its eigenvectors: P = V d V^T, V a rotation. Jacobi's method (Golub
 * and Van Loan, "Matrix Computations", 8.5).
 */
export function eigenvectors(map: Mat4): { axes: Mat4; factors: Vec3 } {
  let [rest, axes] = [linearPart(map), identity()];
  for (let sweep = 0; sweep < SWEEPS; sweep++)
    for (const [p, q] of PAIRS) {
      const off = rest[4 * q + p] ?? 0;
      if (off === 0) continue;
      const angle = Math.atan2(2 * off, (rest[5 * q] ?? 0) - (rest[5 * p] ?? 0)) / 2;
      const turn = identity();
      turn[5 * p] = turn[5 * q] = Math.cos(angle);
      turn[4 * q + p] = Math.sin(angle);
      turn[4 * p + q] = -Math.sin(angle);
      rest = multiply(multiply(transposed(turn), rest), turn);
      axes = multiply(axes, turn);
    }
  return { axes, factors: diagonal(rest) };
}

/** Whether a map scales all directions alike; it may mirror. */
export function isEvenScale(map: Mat4): boolean {
  const { stretch } = polar(map) ?? {};
  if (stretch === undefined) return false;
  const [x, y, z] = diagonal(stretch);
  const mean = (x + y + z) / 3;
  return apart(stretch, scaling([mean, mean, mean])) < EVEN;
}
