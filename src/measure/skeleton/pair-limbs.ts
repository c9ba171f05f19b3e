import type { Facts } from '../facts.js';
import type { Pair } from './pairs.js';

/**
 * Gathers pairs that are off by limb: a limb turned or moved as a whole is one fault, so pairs whose
 * parents are off too are told with the topmost of them.
 *
 * @returns The topmost pairs in order, each with the pairs below it that are off as well.
 */
export function byLimb<T extends { readonly pair: Pair }>(
  facts: Facts,
  off: readonly T[],
): Map<T, T[]> {
  const { parent } = facts.rig.joints;
  const byRight = new Map(off.map((item) => [item.pair.right, item]));
  const above = (item: T): T | undefined => byRight.get(parent[item.pair.right] ?? -1);
  const heads = new Map<T, T[]>();
  for (const item of off) {
    let head = item;
    for (let next = above(head); next !== undefined; next = above(next)) head = next;
    const list = heads.get(head) ?? [];
    heads.set(head, head === item ? list : [...list, item]);
  }
  return heads;
}
