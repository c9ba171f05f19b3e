import type { PartLook } from './looks.js';

/** Boxes along the axes: of each the centre and the half edges, six numbers. */
export type BoxList = Float64Array;

/** Boxes that grow point by point. */
export class GrowingBoxes {
  private readonly ends: (Float64Array | undefined)[] = [];

  /** Extends a box to a point, which is three numbers of a list from `at` on. */
  include(box: number, points: ArrayLike<number>, at: number): void {
    let ends = this.ends[box];
    if (ends === undefined) {
      ends = Float64Array.of(Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity);
      this.ends[box] = ends;
    }
    for (let axis = 0; axis < 3; axis++) {
      const value = points[at + axis] ?? 0;
      // Once NaN they stay so, and are no bound.
      ends[axis] = Math.min(value, ends[axis] ?? 0);
      ends[axis + 3] = Math.max(value, ends[axis + 3] ?? 0);
    }
  }

  /** Indices of the boxes that hold a point. */
  used(): number[] {
    return [...this.ends.keys()].filter((box) => this.ends[box] !== undefined);
  }

  /** All boxes below `count`; zeros for those without a point. */
  list(count: number): BoxList {
    const boxes = new Float64Array(6 * count);
    this.ends.forEach((ends, box) => {
      if (ends !== undefined) setBox(boxes, box, ends, 0);
    });
    return boxes;
  }
}

/** Stores a box that is given by its least and its greatest coordinates. */
function setBox(boxes: BoxList, box: number, ends: Float64Array, at: number): void {
  for (let axis = 0; axis < 3; axis++) {
    const [low, high] = [ends[at + axis] ?? 0, ends[at + axis + 3] ?? 0];
    boxes[6 * box + axis] = (low + high) / 2;
    boxes[6 * box + 3 + axis] = (high - low) / 2;
  }
}

/**
 * Where each vertex of a part is without any morph target, and with each of them alone at full weight: least
 * and greatest x, y, z, six numbers a vertex.
 */
export function singleReaches(positions: Float32Array, look: PartLook | null): Float64Array {
  const count = positions.length / 3;
  const reaches = new Float64Array(6 * count);
  for (let vertex = 0; vertex < count; vertex++)
    for (let axis = 0; axis < 3; axis++) {
      const value = positions[3 * vertex + axis] ?? 0;
      reaches[6 * vertex + axis] = value;
      reaches[6 * vertex + axis + 3] = value;
    }
  for (const { positions: deltas } of look?.targets ?? []) {
    if (deltas === null) continue;
    for (let vertex = 0; vertex < count; vertex++)
      for (let axis = 0; axis < 3; axis++) {
        const at = 6 * vertex + axis;
        const value = (positions[3 * vertex + axis] ?? 0) + (deltas[3 * vertex + axis] ?? 0);
        reaches[at] = Math.min(value, reaches[at] ?? 0);
        reaches[at + 3] = Math.max(value, reaches[at + 3] ?? 0);
      }
  }
  return reaches;
}

/**
 * Where each vertex of a part is with all morph targets, each at a weight of a range of its own. Numbers as above.
 *
 * @param least Least weight of each target; `most` the greatest.
 */
export function posedReaches(
  positions: Float32Array,
  look: PartLook | null,
  [least, most]: readonly [Float64Array, Float64Array],
): Float64Array {
  const reaches = singleReaches(positions, null);
  look?.targets.forEach(({ positions: deltas }, target) => {
    const [low, high] = [least[target] ?? 0, most[target] ?? 0];
    if (deltas === null || (low === 0 && high === 0)) return;
    for (let from = 0; from < deltas.length; from++) {
      const [one, other] = [low * (deltas[from] ?? 0), high * (deltas[from] ?? 0)];
      const at = 6 * Math.floor(from / 3) + (from % 3);
      reaches[at] = (reaches[at] ?? 0) + Math.min(one, other);
      reaches[at + 3] = (reaches[at + 3] ?? 0) + Math.max(one, other);
    }
  });
  return reaches;
}

/** The boxes of such reaches. */
export function reachBoxes(reaches: Float64Array): BoxList {
  const boxes = new Float64Array(reaches.length);
  for (let box = 0; 6 * box < reaches.length; box++) setBox(boxes, box, reaches, 6 * box);
  return boxes;
}

/**
 * The most that an affine map D can make of a point of a box: |D p| for p = c + r, where each coordinate of r
 * is within the half edges h. Row by row |D c + D r| is at most |D c| + |D| h. NaN where the box holds none.
 *
 * @param d Three rows, column by column: the map of differences of two poses.
 * @param w 1 for points, 0 for moves, which no translation moves.
 */
export function reachIn(d: Float64Array, boxes: BoxList, at: number, w: 0 | 1): number {
  let square = 0;
  for (let row = 0; row < 3; row++) {
    let centre = w === 1 ? (d[9 + row] ?? 0) : 0;
    let reach = 0;
    for (let column = 0; column < 3; column++) {
      const change = d[3 * column + row] ?? 0;
      centre += change * (boxes[at + column] ?? 0);
      reach += Math.abs(change) * (boxes[at + 3 + column] ?? 0);
    }
    square += (Math.abs(centre) + reach) ** 2;
  }
  return Math.sqrt(square);
}
