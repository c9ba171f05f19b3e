import type { SkinnedPart } from '../../rig/types.js';
import type { PartLook } from './looks.js';
import { MoverBoxes } from './proof-boxes.js';
import { type MoverPair, MoverPairs } from './proof-pairs.js';
import { sameNumbers } from './proof-shape.js';
import type { WeightRange } from './proof-weights.js';

/** What moves vertices: a slot of a skin before, and the slot that took its place. Shared by all parts of a skin. */
export class Movers {
  readonly before: number[] = [];
  readonly after: number[] = [];
  private readonly known = new Map<number, number>();

  get count(): number {
    return this.before.length;
  }

  /** Number of the mover with these slots, which is made when it is new. Slots are below 65536 (glTF 2.0, 3.7.3.3). */
  of(before: number, after: number): number {
    const key = 65_536 * before + after;
    const known = this.known.get(key);
    if (known !== undefined) return known;
    this.known.set(key, this.before.length);
    this.after.push(after);
    return this.before.push(before) - 1;
  }
}

/** What each mover has to do with one part, of which shape and weights are the same before and after. */
export interface PartMovers {
  readonly used: readonly number[];
  /**
   * Six numbers a mover, for as many as there were: centre and half the edges of the box of what it
   * moves, morph targets included.
   */
  readonly boxes: Float64Array;
  /** Largest sum of a vertex's weights, signs left away. */
  readonly sum: number;
  /** Null where normals or tangents are not the same before and after, or weights are below 0. */
  readonly pairs: readonly MoverPair[] | null;
}

/** One part before and after. */
export interface PartPair {
  readonly before: SkinnedPart;
  readonly after: SkinnedPart;
  readonly looks: readonly [before: PartLook, after: PartLook] | null;
}

/** Null where places, weights or the moves of morph targets are not the same before and after. */
export function partMovers(
  { before, after, looks }: PartPair,
  movers: Movers,
  range: WeightRange,
): PartMovers | null {
  if (
    before.influences !== after.influences ||
    !sameNumbers(before.positions, after.positions) ||
    !sameNumbers(before.weights, after.weights) ||
    looks?.[0].targets.every((target, at) =>
      sameNumbers(target.positions, looks[1].targets[at]?.positions ?? null),
    ) === false
  )
    return null;
  const ends = new MoverBoxes(looks?.[0] ?? null, range);
  const pairs = new MoverPairs();
  let [sum, isPlain] = [0, true];
  for (let vertex = 0; vertex < before.vertexCount; vertex++) {
    let own = 0;
    pairs.begin();
    for (let k = before.influences * vertex; k < before.influences * (vertex + 1); k++) {
      const weight = before.weights[k] ?? 0;
      if (weight === 0) continue;
      // Also true for NaN.
      if (!(weight > 0)) isPlain = false;
      own += Math.abs(weight);
      const mover = movers.of(before.slots[k] ?? 0, after.slots[k] ?? 0);
      ends.hold(mover, before.positions, vertex);
      pairs.add(mover);
    }
    pairs.end(vertex);
    // Once NaN it stays so.
    sum = Math.max(own, sum);
  }
  const isTurnedAlike = looks === null || sameDirections(looks[0], looks[1]);
  return {
    used: ends.used(),
    boxes: ends.boxes(movers.count),
    sum,
    pairs: isPlain && isTurnedAlike ? pairs.list() : null,
  };
}

function sameDirections(a: PartLook, b: PartLook): boolean {
  return (
    sameNumbers(a.normals, b.normals) &&
    sameNumbers(a.tangents, b.tangents) &&
    a.targets.every((target, at) => {
      const other = b.targets[at];
      return (
        sameNumbers(target.normals, other?.normals ?? null) &&
        sameNumbers(target.tangents, other?.tangents ?? null)
      );
    })
  );
}
