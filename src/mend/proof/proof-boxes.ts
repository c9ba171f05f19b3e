import type { PartLook } from './looks.js';
import type { WeightRange } from './proof-weights.js';

/** The box of what each mover moves, as it grows vertex by vertex. */
export class MoverBoxes {
  private readonly ends: (Float64Array | undefined)[] = [];
  private readonly moves: readonly { deltas: Float32Array; least: number; most: number }[];

  constructor(look: PartLook | null, { least, most }: WeightRange) {
    this.moves = (look?.targets ?? []).flatMap(({ positions }, at) =>
      positions === null ? [] : [{ deltas: positions, least: least[at] ?? 0, most: most[at] ?? 1 }],
    );
  }

  /** Lets the box of a mover hold a vertex wherever morph targets may take it. */
  hold(mover: number, positions: Float32Array, vertex: number): void {
    let box = this.ends[mover];
    if (box === undefined) {
      box = Float64Array.of(Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity);
      this.ends[mover] = box;
    }
    for (let axis = 0; axis < 3; axis++) {
      let low = positions[3 * vertex + axis] ?? 0;
      let high = low;
      for (const { deltas, least, most } of this.moves) {
        const delta = deltas[3 * vertex + axis] ?? 0;
        low += Math.min(least * delta, most * delta);
        high += Math.max(least * delta, most * delta);
      }
      // Once NaN they stay so, and are no bound.
      box[axis] = Math.min(low, box[axis] ?? 0);
      box[axis + 3] = Math.max(high, box[axis + 3] ?? 0);
    }
  }

  used(): number[] {
    return [...this.ends.keys()].filter((mover) => this.ends[mover] !== undefined);
  }

  boxes(count: number): Float64Array {
    const out = new Float64Array(6 * count);
    this.ends.forEach((box, mover) => {
      for (let axis = 0; axis < 3; axis++) {
        const [low, high] = [box?.[axis] ?? 0, box?.[axis + 3] ?? 0];
        out[6 * mover + axis] = (low + high) / 2;
        out[6 * mover + 3 + axis] = (high - low) / 2;
      }
    });
    return out;
  }
}
