import type { SkinnedPart } from '../../rig/types.js';
import type { PartLook } from './looks.js';
import { type BoxList, GrowingBoxes, singleReaches } from './proof-boxes.js';
import { type MoverPair, MoverPairs } from './proof-pairs.js';
import type { Pair } from './proof-seen.js';
import { sameNumbers } from './proof-shape.js';

/** The slots of movers before and after. */
export interface Slots {
  readonly before: readonly number[];
  readonly after: readonly number[];
  readonly count: number;
}

/** What moves vertices: a slot of a skin before, and the slot that took its place. Shared by all parts of a skin. */
export class Movers implements Slots {
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

/** What each mover has to do with one part. */
export interface PartMovers {
  /** Vertices that have other weights after: no bound holds for them. */
  readonly odd: readonly number[];
  readonly used: readonly number[];
  /** The vertices of each mover. */
  readonly vertices: readonly (readonly number[])[];
  readonly boxes: MoverBoxes;
  /** Largest sum of a vertex's weights, without their signs. */
  readonly sum: number;
  readonly pairs: readonly MoverPair[];
  /** Whether no weight is below 0, without which no bound of directions holds. */
  readonly isPlain: boolean;
}

/** By mover, boxes of what it moves. */
interface MoverBoxes {
  /** Without morph targets. */
  readonly shape: BoxList;
  /** Without morph targets, and with each of them alone at full weight. */
  readonly singles: BoxList;
  /** What each morph target adds at full weight; null where it moves nothing. */
  readonly moves: readonly (BoxList | null)[];
}

/** One part before and after. */
export interface PartPair {
  readonly before: SkinnedPart;
  readonly after: SkinnedPart;
  readonly looks: Pair<PartLook> | null;
}

/** Whether places, normals or tangents, or what morph targets add to them, are not the same, number for number. */
export function isReshaped({ before, after, looks }: PartPair): boolean {
  const same =
    sameNumbers(before.positions, after.positions) && (looks === null || sameLists(...looks));
  return !same;
}

export function partMovers({ before, after, looks }: PartPair, movers: Movers): PartMovers {
  const { influences, weights, positions } = before;
  const odd: number[] = [];
  const moves = (looks?.[0].targets ?? []).map(({ positions: deltas }) => deltas);
  const [shapes, singles] = [new GrowingBoxes(), new GrowingBoxes()];
  const moved = moves.map((deltas) => (deltas === null ? null : new GrowingBoxes()));
  const reaches = singleReaches(positions, looks?.[0] ?? null);
  const vertices: number[][] = [];
  const pairs = new MoverPairs();
  let [most, isPlain] = [0, true];
  for (let vertex = 0; vertex < before.vertexCount; vertex++) {
    if (!isWeighedAlike(before, after, vertex)) {
      odd.push(vertex);
      continue;
    }
    let sum = 0;
    const numbers: number[] = [];
    for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
      const weight = weights[k] ?? 0;
      if (weight === 0) continue;
      // Also true for NaN.
      if (!(weight > 0)) isPlain = false;
      sum += Math.abs(weight);
      const mover = movers.numberOf(before.slots[k] ?? 0, after.slots[k] ?? 0);
      shapes.include(mover, positions, 3 * vertex);
      singles.include(mover, reaches, 6 * vertex);
      singles.include(mover, reaches, 6 * vertex + 3);
      moves.forEach((deltas, target) => {
        if (deltas !== null) moved[target]?.include(mover, deltas, 3 * vertex);
      });
      vertices[mover] ??= [];
      vertices[mover].push(vertex);
      numbers.push(mover);
    }
    pairs.add(vertex, numbers);
    // Once NaN it stays so.
    most = Math.max(sum, most);
  }
  const { count } = movers;
  return {
    odd,
    used: shapes.used(),
    vertices,
    boxes: {
      shape: shapes.list(count),
      singles: singles.list(count),
      moves: moved.map((boxes) => boxes?.list(count) ?? null),
    },
    sum: most,
    pairs: pairs.list(),
    isPlain,
  };
}

function isWeighedAlike(before: SkinnedPart, after: SkinnedPart, vertex: number): boolean {
  const { influences } = before;
  if (influences !== after.influences) return false;
  for (let k = influences * vertex; k < influences * (vertex + 1); k++)
    if (before.weights[k] !== after.weights[k]) return false;
  return true;
}

function sameLists(a: PartLook, b: PartLook): boolean {
  const others = listsOf(b);
  return listsOf(a).every((list, at) => sameNumbers(list, others[at] ?? null));
}

function listsOf({ normals, tangents, targets }: PartLook): (Float32Array | null)[] {
  const moves = targets.flatMap((target) => [target.positions, target.normals, target.tangents]);
  return [normals, tangents, ...moves];
}
