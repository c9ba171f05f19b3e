import type { Rig, SkinnedPart } from '../../rig/types.js';
import { MoverTurns } from './proof-bounds.js';
import { Movers } from './proof-movers.js';
import { SkinMatrices, type SkinPose } from './proof-pose.js';

type Pair<T> = readonly [before: T, after: T];

/** One skin before and the one that took its place, with the matrices of the pose as it is. */
export class SkinComparison {
  readonly movers = new Movers();
  /** W B of each slot before, and of each after. */
  readonly matrices: Pair<Float64Array>;
  private readonly products: Pair<SkinMatrices>;
  private turning: MoverTurns | null = null;
  private isTurningKnown = false;

  /** @param parts All that the skin moves, before and after. */
  constructor(rigs: Pair<Rig>, parts: readonly Pair<SkinnedPart>[], poses: Pair<SkinPose>) {
    const of = (side: 0 | 1): SkinMatrices => {
      const own = parts.map((pair) => pair[side]);
      return new SkinMatrices(rigs[side], own[0]?.skin ?? 0, usedSlots(own), poses[side]);
    };
    this.products = [of(0), of(1)];
    this.matrices = [this.products[0].values, this.products[1].values];
  }

  /** Looks at the pose as it is. */
  update(): void {
    for (const product of this.products) product.update();
    this.isTurningKnown = false;
  }

  /** How the movers turn directions in this pose, worked out when it is first asked for. */
  turns(): MoverTurns {
    // All movers are known before the first pose.
    this.turning ??= new MoverTurns(this.movers, this.matrices[0], this.matrices[1]);
    if (!this.isTurningKnown) this.turning.update();
    this.isTurningKnown = true;
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
