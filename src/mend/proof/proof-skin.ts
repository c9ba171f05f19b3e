import type { Rig, SkinnedPart } from '../../rig/types.js';
import { MoverTurns } from './proof-bounds.js';
import { Movers } from './proof-movers.js';
import { SkinMatrices, type SkinPose } from './proof-pose.js';

type Pair<T> = readonly [before: T, after: T];

/** One skin before and the one that took its place, with the matrices of the present pose. */
export class SkinComparison {
  readonly movers = new Movers();
  /** W B of each slot before, and of each after. */
  readonly matrices: Pair<Float64Array>;
  private readonly products: Pair<SkinMatrices>;
  private turning: MoverTurns | null = null;

  /** @param parts All that the skin moves, before and after. */
  constructor(rigs: Pair<Rig>, parts: readonly Pair<SkinnedPart>[], poses: Pair<SkinPose>) {
    const productsOf = (side: 0 | 1): SkinMatrices => {
      const moved = parts.map((pair) => pair[side]);
      return new SkinMatrices(rigs[side], moved[0]?.skin ?? 0, usedSlots(moved), poses[side]);
    };
    this.products = [productsOf(0), productsOf(1)];
    this.matrices = [this.products[0].values, this.products[1].values];
  }

  /** Takes the present pose of the rigs. */
  update(): void {
    for (const product of this.products) product.update();
    this.turning = null;
  }

  /** How the movers turn directions in this pose, worked out when it is first needed. */
  turns(): MoverTurns {
    this.turning ??= new MoverTurns(this.movers, ...this.matrices);
    return this.turning;
  }
}

/** In order. (Going through all slots that there may be, for each of a thousand skins, was half of a mend.) */
function usedSlots(parts: readonly SkinnedPart[]): number[] {
  const isUsed = new Uint8Array(65_536);
  const used: number[] = [];
  for (const { slots, weights } of parts)
    for (let k = 0; k < weights.length; k++) {
      const slot = slots[k] ?? 0;
      if (weights[k] === 0 || isUsed[slot] === 1) continue;
      isUsed[slot] = 1;
      used.push(slot);
    }
  return used.sort((a, b) => a - b);
}
