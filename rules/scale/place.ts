import type { Place } from '../../src/kit/finding.js';
import type { LocalScale } from '../../src/measure/local-scale.js';

/** Where a finding about a stored scale belongs: at its joint, else at its node. */
export function placeOf({ joint, node }: LocalScale): Place {
  return joint === -1 ? { kind: 'node', node } : { kind: 'joint', joint };
}

/** The one with the largest measure; the first of several. */
export function worstOf<T>(list: readonly T[], measure: (item: T) => number): T | undefined {
  return list.reduce<T | undefined>(
    (worst, item) => (worst === undefined || measure(item) > measure(worst) ? item : worst),
    undefined,
  );
}
