import type { Movers, PartMovers } from './proof-movers.js';
import type { MoverPair } from './proof-pairs.js';

/**
 * No vertex of a part is moved by more than this from one pose to another, world units: it lies in the box of
 * each of its movers, and its weights share out what these do to it. Infinity where nothing is sure.
 *
 * @param a W B of each slot before; `b` after.
 */
export function shiftBound(
  { used, boxes, sum }: PartMovers,
  { before, after }: Movers,
  a: Float64Array,
  b: Float64Array,
): number {
  let most = 0;
  for (const mover of used) {
    const [from, to, box] = [16 * (before[mover] ?? 0), 16 * (after[mover] ?? 0), 6 * mover];
    let square = 0;
    for (let row = 0; row < 3; row++) {
      let centre = (a[from + 12 + row] ?? 0) - (b[to + 12 + row] ?? 0);
      let reach = 0;
      for (let column = 0; column < 3; column++) {
        const change = (a[from + 4 * column + row] ?? 0) - (b[to + 4 * column + row] ?? 0);
        centre += change * (boxes[box + column] ?? 0);
        reach += Math.abs(change) * (boxes[box + 3 + column] ?? 0);
      }
      square += (Math.abs(centre) + reach) ** 2;
    }
    // Also true for NaN.
    if (!(square <= most)) most = Number.isNaN(square) ? Infinity : square;
  }
  return sum * Math.sqrt(most);
}

/** How the movers of a skin turn directions in one pose. */
export class MoverTurns {
  /** Square of the most that a mover before and after take a unit vector apart. */
  readonly apart: Float64Array;
  /** Square of the shortest that a mover makes a unit vector. */
  private readonly shortest: Float64Array;

  /** @param a W B of each slot before; `b` after. */
  constructor(
    private readonly movers: Movers,
    private readonly a: Float64Array,
    b: Float64Array,
  ) {
    const { before, after, count } = movers;
    this.apart = new Float64Array(count);
    this.shortest = new Float64Array(count);
    for (let mover = 0; mover < count; mover++) {
      const from = 16 * (before[mover] ?? 0);
      this.apart[mover] = squareApart(a, from, b, 16 * (after[mover] ?? 0));
      this.shortest[mover] = eigenvalues(a, from, -1).least;
    }
  }

  /**
   * Square of the shortest that the vertices of a pair can make a unit vector, as a share of their weights; 0
   * where nothing is sure. With M and N the matrices of two movers and v a unit vector, Mv . Nv = (|Mv|^2 +
   * |Nv|^2 - |(M - N) v|^2) / 2. The square of a sum over n movers with weights x is the sum over its pairs of
   * (x^2 |Mv|^2 + y^2 |Nv|^2) / (n - 1) + 2 x y Mv . Nv; with s the shortest square and c the least product of
   * a pair, that is least, over all weights of one sum, for equal ones: (s + (n - 1) c) / n.
   */
  shortestOf({ a, b, most }: MoverPair): number {
    const { before } = this.movers;
    const [square, other] = [this.shortest[a] ?? 0, this.shortest[b] ?? 0];
    const least = Math.min(square, other);
    if (a === b) return least;
    const [from, to] = [16 * (before[a] ?? 0), 16 * (before[b] ?? 0)];
    // (s + (n - 1) c) / n, where |(M - N) v|^2 is at most `apart`, but never more than the shortest.
    const blended = (apart: number): number =>
      Math.min(least, (least + (most - 1) * ((square + other - apart) / 2)) / most);
    // The sum of squares of M - N is a bound that costs little.
    const rough = blended(squareApart(this.a, from, this.a, to));
    if (rough > ROUGHLY * least) return rough;
    return Math.max(0, blended(eigenvalues(this.a, from, to).most));
  }
}

/** A rough bound that leaves so much of a direction is good enough. Share of its square. */
const ROUGHLY = 0.1;

/** Sum of squares of the difference of two upper 3 x 3 matrices. */
function squareApart(a: Float64Array, from: number, b: Float64Array, to: number): number {
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
function eigenvalues(m: Float64Array, from: number, to: number): { least: number; most: number } {
  for (let column = 0; column < 3; column++)
    for (let row = 0; row < 3; row++) {
      const at = 4 * column + row;
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
