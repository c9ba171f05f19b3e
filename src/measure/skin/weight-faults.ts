import type { SkinnedPart } from '../../rig/types.js';

/** Weights that glTF 2.0 (3.7.3.3 Skinned Mesh Attributes) does not allow, by vertex. */
export interface WeightFaults {
  /** Sum of the weights of each vertex, in steps (whole numbers) for integer weights. */
  readonly sums: Float64Array;
  /** Largest distance of a sum from full, vertices without any weight left out. */
  readonly worstSum: number;
  /** Vertices without any weight, in order. */
  readonly unweighted: readonly number[];
  /** Vertices by the number of their weights: `crowds[n]` have n. */
  readonly crowds: readonly number[];
  /** Vertices with an index past the skin's joints, in order. */
  readonly badIndex: readonly number[];
  /** Vertices on which a joint has two non-zero weights, with its slot. */
  readonly repeated: readonly SlotFault[];
  /** Vertices with a negative weight, with its slot. */
  readonly negative: readonly SlotFault[];
  /** Vertices with a weight that is not a number or infinite, in order, each once. */
  readonly noNumber: readonly number[];
}

export interface SlotFault {
  readonly vertex: number;
  readonly slot: number;
}

/** Sums and counts the weights of each vertex, and lists what is wrong. */
export function weightFaults(part: SkinnedPart, slotCount: number): WeightFaults {
  const { slots, weights, influences, vertexCount, weightSteps } = part;
  const full = weightSteps === 0 ? 1 : weightSteps;
  const sums = new Float64Array(vertexCount);
  const crowds = Array.from({ length: influences + 1 }, () => 0);
  const unweighted: number[] = [];
  const badIndex: number[] = [];
  const repeated: SlotFault[] = [];
  const negative: SlotFault[] = [];
  const noNumber: number[] = [];
  let worstSum = 0;
  for (let vertex = 0; vertex < vertexCount; vertex++) {
    const first = influences * vertex;
    let sum = 0;
    let crowd = 0;
    let past = false;
    for (let k = first; k < first + influences; k++) {
      const weight = weights[k] ?? 0;
      const slot = slots[k] ?? 0;
      if (slot >= slotCount) past = true;
      if (weight === 0) continue;
      crowd++;
      sum += weight * full;
      if (!Number.isFinite(weight)) {
        if (noNumber.at(-1) !== vertex) noNumber.push(vertex);
      } else if (weight < 0) negative.push({ vertex, slot });
      else if (hasBefore(part, first, k)) repeated.push({ vertex, slot });
    }
    if (past) badIndex.push(vertex);
    // Steps are whole numbers; their shares of 1 are rounded.
    sum = weightSteps === 0 ? sum : Math.round(sum);
    sums[vertex] = sum;
    crowds[crowd] = (crowds[crowd] ?? 0) + 1;
    if (sum === 0) unweighted.push(vertex);
    else if (Math.abs(sum - full) > worstSum) worstSum = Math.abs(sum - full);
  }
  return { sums, worstSum, unweighted, crowds, badIndex, repeated, negative, noNumber };
}

/** Whether an earlier influence of the same vertex has the slot of influence `k`, and a weight. */
function hasBefore({ slots, weights }: SkinnedPart, first: number, k: number): boolean {
  for (let other = first; other < k; other++)
    if (slots[other] === slots[k] && (weights[other] ?? 0) > 0) return true;
  return false;
}
