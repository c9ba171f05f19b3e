import type { SkinnedPart } from '../../rig/types.js';
import type { PartLook } from './looks.js';
import { type MoverPair, MoverPairs } from './proof-pairs.js';
import type { Pair } from './proof-seen.js';
import { sameNumbers } from './proof-shape.js';
import type { WeightRange } from './proof-weights.js';

/** What moves vertices: a slot of a skin before, and the slot that took its place. Shared by all parts of a skin. */
export class Movers {
  readonly before: number[] = [];
  readonly after: number[] = [];
  private readonly numbers = new Map<number, number>();

  get count(): number {
    return this.before.length;
  }

  /** Number of the mover with these slots, which is made when it is new. Slots are below 65536 (glTF 2.0, 3.7.3.3). */
  numberOf(before: number, after: number): number {
    const key = 65_536 * before + after;
    const number = this.numbers.get(key);
    if (number !== undefined) return number;
    this.numbers.set(key, this.count);
    this.after.push(after);
    return this.before.push(before) - 1;
  }
}

/** What each mover has to do with one part, of which shape and weights are the same before and after. */
export interface PartMovers {
  readonly used: readonly number[];
  /** Six numbers a mover: centre and half edges of the box of what it moves, morph targets included. */
  readonly boxes: Float64Array;
  /** Largest sum of a vertex's weights, without their signs. */
  readonly sum: number;
  /** Null where normals or tangents are not the same before and after, or weights are below 0. */
  readonly pairs: readonly MoverPair[] | null;
}

/** One part before and after. */
export interface PartPair {
  readonly before: SkinnedPart;
  readonly after: SkinnedPart;
  readonly looks: Pair<PartLook> | null;
}

/** Null where places, weights or the moves of morph targets are not the same before and after. */
export function partMovers(
  { before, after, looks }: PartPair,
  movers: Movers,
  range: WeightRange,
): PartMovers | null {
  const { influences, weights } = before;
  if (
    influences !== after.influences ||
    !sameNumbers(before.positions, after.positions) ||
    !sameNumbers(weights, after.weights) ||
    (looks !== null && !sameLists(...looks, TARGET_POSITIONS))
  )
    return null;
  const boxes = new MoverBoxes(before.positions, looks?.[0] ?? null, range);
  const pairs = new MoverPairs();
  let [most, isPlain] = [0, looks === null || sameLists(...looks, DIRECTIONS)];
  for (let vertex = 0; vertex < before.vertexCount; vertex++) {
    let sum = 0;
    const numbers: number[] = [];
    for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
      const weight = weights[k] ?? 0;
      if (weight === 0) continue;
      // Also true for NaN.
      if (!(weight > 0)) isPlain = false;
      sum += Math.abs(weight);
      const mover = movers.numberOf(before.slots[k] ?? 0, after.slots[k] ?? 0);
      boxes.include(mover, vertex);
      numbers.push(mover);
    }
    pairs.add(vertex, numbers);
    // Once NaN it stays so.
    most = Math.max(sum, most);
  }
  return { ...boxes.result(movers.count), sum: most, pairs: isPlain ? pairs.list() : null };
}

type Lists = (look: PartLook) => readonly (Float32Array | null)[];

const TARGET_POSITIONS: Lists = ({ targets }) => targets.map(({ positions }) => positions);

const DIRECTIONS: Lists = ({ normals, tangents, targets }) =>
  [{ normals, tangents }, ...targets].flatMap((table) => [table.normals, table.tangents]);

function sameLists(a: PartLook, b: PartLook, listsOf: Lists): boolean {
  const others = listsOf(b);
  return listsOf(a).every((list, at) => sameNumbers(list, others[at] ?? null));
}

/** The box of what each mover moves, as it grows vertex by vertex. */
class MoverBoxes {
  private readonly ends: (Float64Array | undefined)[] = [];
  private readonly moves: readonly { deltas: Float32Array; least: number; most: number }[];

  constructor(
    private readonly positions: Float32Array,
    look: PartLook | null,
    { least, most }: WeightRange,
  ) {
    this.moves = (look?.targets ?? []).flatMap(({ positions: deltas }, at) =>
      deltas === null ? [] : [{ deltas, least: least[at] ?? 0, most: most[at] ?? 1 }],
    );
  }

  /** Extends the box of a mover to a vertex, wherever morph targets may take it. */
  include(mover: number, vertex: number): void {
    let box = this.ends[mover];
    if (box === undefined) {
      box = Float64Array.of(Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity);
      this.ends[mover] = box;
    }
    for (let axis = 0; axis < 3; axis++) {
      let low = this.positions[3 * vertex + axis] ?? 0;
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

  result(count: number): Pick<PartMovers, 'used' | 'boxes'> {
    const used: number[] = [];
    const boxes = new Float64Array(6 * count);
    this.ends.forEach((box, mover) => {
      if (box === undefined) return;
      used.push(mover);
      for (let axis = 0; axis < 3; axis++) {
        const [low, high] = [box[axis] ?? 0, box[axis + 3] ?? 0];
        boxes[6 * mover + axis] = (low + high) / 2;
        boxes[6 * mover + 3 + axis] = (high - low) / 2;
      }
    });
    return { used, boxes };
  }
}
