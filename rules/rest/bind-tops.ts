import type { Finding } from '../../src/kit/finding.js';
import type { Facts } from '../../src/measure/facts.js';
import { unboundScales } from '../../src/measure/pose/unbound-scale.js';
import type { BindDetails } from './bind-words.js';

/**
 * Findings about scales of topmost joints that were not there when bound.
 *
 * @param limit How far from 1 a scale has to be, in percent.
 */
export function judgeTops(facts: Facts, limit: number, looked: number): Finding<BindDetails>[] {
  return unboundScales(facts, limit / 100).map(({ joint, scale, clip }) => ({
    level: clip === null ? 'error' : 'warning',
    place: { kind: 'joint', joint },
    aspect: 'scale',
    measured: 100 * Math.abs(scale - 1),
    limit,
    unit: '%',
    covers: ['scale.unit'],
    counts: { looked: Math.max(1, looked), short: 1 },
    details: { kind: 'scale', joint, scale, clip },
  }));
}
