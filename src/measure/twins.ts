import type { Facts } from './facts.js';
import { pairs } from './pairs.js';

/** Rounding makes neither of two alike the worse. */
const WORSE = 1 + 1e-6;

/**
 * Gathers what is told of joints by twins: the left and the right joint of a pair with the same fault
 * are one, the worse of them first. Groups stand in the order of their first.
 *
 * @param worse A number that is larger the worse it is.
 * @param kind Twins of two kinds stay apart: one of them may have to step back alone.
 */
export function byTwins<T extends { readonly joint: number }>(
  facts: Facts,
  list: readonly T[],
  worse: (item: T) => number,
  kind: (item: T) => unknown = () => null,
): (readonly [T, ...T[]])[] {
  const { partner } = pairs(facts);
  const byJoint = new Map(list.map((item) => [item.joint, item]));
  return list.flatMap((item): (readonly [T, ...T[]])[] => {
    const twin = byJoint.get(partner[item.joint] ?? -1);
    if (twin === undefined || kind(twin) !== kind(item)) return [[item]];
    if (twin.joint < item.joint) return [];
    return [worse(twin) > WORSE * worse(item) ? [twin, item] : [item, twin]];
  });
}
