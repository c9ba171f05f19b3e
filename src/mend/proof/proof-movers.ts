import type { SkinnedPart } from '../../rig/types.js';
import type { PartLook } from './looks.js';
import { type BoxList, GrowingBoxes, singleReaches } from './proof-boxes.js';
import { type MoverPair, MoverPairs } from './proof-pairs.js';
import type { Pair } from './proof-seen.js';
import { sameNumbers } from './proof-shape.js';

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

/** What each mover has to do with one part, of which the shape is the same before and after. */
export interface PartMovers {
  /** Vertices that have other weights after: no bound holds for them. */
  readonly odd: readonly number[];
  readonly used: readonly number[];
  /** The vertices of each mover. */
  readonly vertices: readonly (readonly number[])[];
  readonly boxes: MoverBoxes;
  /** Largest sum of a vertex's weights, without their signs. */
  readonly sum: number;
  /** Null where normals or tangents are not the same before and after, or weights are below 0. */
  readonly pairs: readonly MoverPair[] | null;
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

/** What of a part is the same before and after, number for number. */
export interface PartSame {
  /** Places, and the moves of morph targets. */
  readonly places: boolean;
  /** Normals and tangents, those of morph targets too. */
  readonly directions: boolean;
}

export function partSame({ before, after, looks }: PartPair): PartSame {
  return {
    places:
      sameNumbers(before.positions, after.positions) &&
      (looks === null || sameLists(...looks, TARGET_POSITIONS)),
    directions: looks === null || sameLists(...looks, DIRECTIONS),
  };
}

/** Null where places or the moves of morph targets are not the same before and after. */
export function partMovers(
  { before, after, looks }: PartPair,
  same: PartSame,
  movers: Movers,
): PartMovers | null {
  if (!same.places) return null;
  const { influences, weights, positions } = before;
  const odd: number[] = [];
  const moves = (looks?.[0].targets ?? []).map(({ positions: deltas }) => deltas);
  const [shapes, singles] = [new GrowingBoxes(), new GrowingBoxes()];
  const moved = moves.map((deltas) => (deltas === null ? null : new GrowingBoxes()));
  const reaches = singleReaches(positions, looks?.[0] ?? null);
  const vertices: number[][] = [];
  const pairs = new MoverPairs();
  let [most, isPlain] = [0, same.directions];
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
    pairs: isPlain ? pairs.list() : null,
  };
}

function isWeighedAlike(before: SkinnedPart, after: SkinnedPart, vertex: number): boolean {
  const { influences } = before;
  if (influences !== after.influences) return false;
  for (let k = influences * vertex; k < influences * (vertex + 1); k++)
    if (before.weights[k] !== after.weights[k]) return false;
  return true;
}

type Lists = (look: PartLook) => readonly (Float32Array | null)[];

const TARGET_POSITIONS: Lists = ({ targets }) => targets.map(({ positions }) => positions);

const DIRECTIONS: Lists = ({ normals, tangents, targets }) =>
  [{ normals, tangents }, ...targets].flatMap((table) => [table.normals, table.tangents]);

function sameLists(a: PartLook, b: PartLook, listsOf: Lists): boolean {
  const others = listsOf(b);
  return listsOf(a).every((list, at) => sameNumbers(list, others[at] ?? null));
}
