import { groupBy } from '../../rig/group-by.js';
import type { Facts } from '../facts.js';
import type { Pair } from './pairs.js';

/**
 * Gathers pairs that are off by limb: a limb turned or moved as a whole is one fault, so pairs whose
 * parents are off too are listed with the topmost of them.
 *
 * @returns The topmost pairs in order, each with the pairs below it that are off as well.
 */
export function byLimb<T extends { readonly pair: Pair }>(
  { rig }: Facts,
  off: readonly T[],
): Map<T, T[]> {
  const byRight = new Map(off.map((entry) => [entry.pair.right, entry]));
  const above = ({ pair }: T): T | undefined => byRight.get(rig.joints.parent[pair.right] ?? -1);
  const limbs = groupBy(off, (entry) => {
    let top = entry;
    for (let next = above(top); next !== undefined; next = above(next)) top = next;
    return top;
  });
  return new Map([...limbs].map(([top, all]) => [top, all.filter((entry) => entry !== top)]));
}
