import type { Place } from '../../src/kit/finding.js';
import type { LocalScale } from '../../src/measure/pose/local-scale.js';

/** Where a finding about a stored scale belongs: at its joint, else at its node. */
export function placeOf({ joint, node }: LocalScale): Place {
  return joint === -1 ? { kind: 'node', node } : { kind: 'joint', joint };
}

/** Measures nearer than this are as good as alike: rounding must not choose. */
const ALIKE = 1 + 1e-3;

/** The one with the largest measure; the first of several that are as good as alike. */
export function worstOf<T>(list: readonly T[], measure: (item: T) => number): T | undefined {
  const largest = list.reduce((most, item) => Math.max(most, measure(item)), -Infinity);
  return list.find((item) => measure(item) * ALIKE >= largest);
}
