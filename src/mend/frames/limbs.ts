import type { Facts } from '../../measure/facts.js';
import type { Pair } from '../../measure/skeleton/pairs.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';

/** Pairs sorted into limbs: two belong together if a segment of either side holds a joint of both. */
export function limbsOf(facts: Facts, pairs: readonly Pair[]): Pair[][] {
  const ofJoint = new Map(
    pairs.flatMap((pair): [number, Pair][] => [
      [pair.left, pair],
      [pair.right, pair],
    ]),
  );
  const limbs = new Map(pairs.map((pair) => [pair, [pair]]));
  for (const { joints } of segmentRolls(facts)) {
    const [first, ...others] = joints.flatMap((joint) => ofJoint.get(joint) ?? []);
    if (first === undefined) continue;
    for (const other of others) {
      const [limb, joined] = [limbs.get(first) ?? [], limbs.get(other) ?? []];
      if (limb === joined) continue;
      limb.push(...joined);
      for (const pair of joined) limbs.set(pair, limb);
    }
  }
  return [...new Set(limbs.values())];
}
