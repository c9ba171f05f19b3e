import { degrees } from '../../rig/vec3.js';

/**
 * The most that two blended matrices can turn any direction apart: with e = (M - N) v, the angle between M v
 * and N v has a sine of |e| / |M v| at most, which is no more than the largest that M - N makes of a unit
 * vector over the least that M does. Degrees; NaN or Infinity where nothing is sure.
 *
 * @param m Three rows, column by column; `n` too.
 * @param blur Of the direction before N, which can be off by as much: `PartMaps`.
 */
export function turnBound(m: Float64Array, n: Float64Array, blur: number): number {
  let square = 0;
  for (let at = 0; at < 9; at++) square += ((m[at] ?? 0) - (n[at] ?? 0)) ** 2;
  // Nothing apart is no turn, whatever is left of a direction.
  if (square === 0 && blur === 0) return 0;
  const { least, most } = eigenvalues(m, 0, -1, 3);
  return turnOf((Math.sqrt(square) + blur * Math.sqrt(most)) / Math.sqrt(least));
}

/** Degrees of a turn by the most that its sine can be; Infinity where that is no bound. */
export function turnOf(sine: number): number {
  return sine >= 1 ? Infinity : degrees(Math.asin(sine));
}

/** Root of the sum of squares of an upper 3 x 3, column by column: no unit vector is made longer. */
export function frobenius(m: Float64Array): number {
  let square = 0;
  for (let at = 0; at < 9; at++) square += (m[at] ?? 0) ** 2;
  return Math.sqrt(square);
}

/** Sum of squares of the difference of two upper 3 x 3 matrices. */
export function squareApart(a: Float64Array, from: number, b: Float64Array, to: number): number {
  let sum = 0;
  for (let column = 0; column < 12; column += 4)
    for (let row = 0; row < 3; row++)
      sum += ((a[from + column + row] ?? 0) - (b[to + column + row] ?? 0)) ** 2;
  return sum;
}

/**
 * Smallest and largest eigenvalue of D^T D with D the upper 3 x 3 of M - N, or of M alone where `to` is -1, by
 * the trigonometric form of the cubic's roots (Smith 1961, "Eigenvalues of a symmetric 3 x 3 matrix",
 * Communications of the ACM 4, 168).
 */
export function eigenvalues(
  m: Float64Array,
  from: number,
  to: number,
  stride: 3 | 4 = 4,
): { least: number; most: number } {
  for (let column = 0; column < 3; column++)
    for (let row = 0; row < 3; row++) {
      const at = stride * column + row;
      APART[3 * column + row] = (m[from + at] ?? 0) - (to === -1 ? 0 : (m[to + at] ?? 0));
    }
  const [xx, yy, zz] = [columns(0, 0), columns(1, 1), columns(2, 2)];
  const [xy, xz, yz] = [columns(0, 1), columns(0, 2), columns(1, 2)];
  const mean = (xx + yy + zz) / 3;
  const [x, y, z] = [xx - mean, yy - mean, zz - mean];
  const spread = Math.sqrt((x * x + y * y + z * z + 2 * (xy * xy + xz * xz + yz * yz)) / 6);
  // Also true for NaN.
  if (!(spread > 0)) return { least: mean, most: mean };
  const determinant = x * (y * z - yz * yz) - xy * (xy * z - yz * xz) + xz * (xy * yz - y * xz);
  const ratio = determinant / (2 * spread ** 3);
  const angle = Math.acos(Math.min(1, Math.max(-1, ratio))) / 3;
  const rounding = ROUNDING * mean;
  return {
    least: Math.max(0, mean + 2 * spread * Math.cos(angle + (2 * Math.PI) / 3) - rounding),
    most: mean + 2 * spread * Math.cos(angle) + rounding,
  };
}

/** The upper 3 x 3 of M - N, by columns: one array for all, since each pair needs it in every pose. */
const APART = new Float64Array(9);

/** The product of two columns of M - N. */
function columns(i: number, j: number): number {
  const [a, b] = [3 * i, 3 * j];
  return (
    (APART[a] ?? 0) * (APART[b] ?? 0) +
    (APART[a + 1] ?? 0) * (APART[b + 1] ?? 0) +
    (APART[a + 2] ?? 0) * (APART[b + 2] ?? 0)
  );
}

/** An arc cosine near 1 keeps half the digits of a double. Share of the mean eigenvalue. */
const ROUNDING = 1e-7;
