import { reachIn } from './proof-boxes.js';
import type { PartMovers, Slots } from './proof-movers.js';
import type { MoverPair } from './proof-pairs.js';
import { eigenvalues, squareApart } from './proof-turns.js';

/**
 * The most that vertices are taken apart from one pose to another by each mover that is used, world units, in
 * the order of `used`; Infinity where nothing is sure. With D = A - B of a mover, x its weight, and p a vertex
 * with its morph targets added, two poses of the vertex differ by the sum of x D p over its movers: by no more
 * than `sum` times the largest |D p| of them. Morph targets are linear, p = q + the sum of w d over their
 * weights w and moves d, so that p is in the box of q plus w times the box of each d; with one alone at full
 * weight it is in the box of all such p.
 *
 * @param a W B of each slot before; `b` after.
 * @param weights Of all morph targets in the pose; null for the shape without any and each alone.
 */
export function shiftBounds(
  { used, boxes, sum }: PartMovers,
  { before, after }: Slots,
  a: Float64Array,
  b: Float64Array,
  weights: Float64Array | null,
): Float64Array {
  const apart = new Float64Array(12);
  const posed = new Float64Array(6);
  return Float64Array.from(used, (mover) => {
    const [from, to] = [16 * (before[mover] ?? 0), 16 * (after[mover] ?? 0)];
    for (let column = 0; column < 4; column++)
      for (let row = 0; row < 3; row++) {
        const at = 4 * column + row;
        apart[3 * column + row] = (a[from + at] ?? 0) - (b[to + at] ?? 0);
      }
    let most = reachIn(apart, boxes.singles, 6 * mover, 1);
    if (weights !== null && boxes.moves.length > 0) {
      poseBox(boxes, mover, weights, posed);
      // Once NaN it stays so.
      most = Math.max(most, reachIn(apart, posed, 0, 1));
    }
    return Number.isNaN(most) ? Infinity : sum * most;
  });
}

/** The box of what a mover moves, each morph target at its weight. */
function poseBox(
  { shape, moves }: PartMovers['boxes'],
  mover: number,
  weights: Float64Array,
  out: Float64Array,
): void {
  out.set(shape.subarray(6 * mover, 6 * mover + 6));
  for (let target = 0; target < moves.length; target++) {
    const [list, weight] = [moves[target] ?? null, weights[target] ?? 0];
    if (list === null || weight === 0) continue;
    for (let axis = 0; axis < 3; axis++) {
      out[axis] = (out[axis] ?? 0) + weight * (list[6 * mover + axis] ?? 0);
      out[axis + 3] = (out[axis + 3] ?? 0) + Math.abs(weight) * (list[6 * mover + 3 + axis] ?? 0);
    }
  }
}

/** How the movers of a skin turn directions in one pose. */
export class MoverTurns {
  /** Square of the most that a mover before and after take a unit vector apart. */
  readonly apart: Float64Array;
  /** Square of the shortest that a mover makes a unit vector. */
  private readonly shortest: Float64Array;

  /** @param a W B of each slot before; `b` after. */
  constructor(
    private readonly movers: Slots,
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

  /** The most that any of some movers take a unit vector apart. */
  most(movers: readonly number[]): number {
    let square = 0;
    // Once NaN it stays so.
    for (const mover of movers) square = Math.max(square, this.apart[mover] ?? 0);
    return Math.sqrt(square);
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
