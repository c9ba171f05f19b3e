import { LEVELS } from '../kit/finding.js';
import type { FindingReport } from '../report/report-types.js';

/**
 * A node above several rigs is found in each of them, and is one cause: what the same rule says of the
 * same node is told once, by the most serious of them, with all that they list, where the first stood.
 */
export function gatherNodes(findings: readonly FindingReport[]): FindingReport[] {
  const groups = new Map<unknown, FindingReport[]>();
  for (const finding of findings) {
    const { rule, place } = finding;
    // A finding about anything else stands for itself.
    const key = place.kind === 'node' ? `${rule} ${place.pointer}` : finding;
    groups.set(key, [...(groups.get(key) ?? []), finding]);
  }
  return [...groups.values()].flatMap((group) => merged(group) ?? []);
}

function merged(group: readonly FindingReport[]): FindingReport | undefined {
  const [first, ...others] = group;
  if (first === undefined || others.length === 0) return first;
  const worst = others.reduce((best, item) => (isWorse(item, best) ? item : best), first);
  const places = new Map(group.flatMap((item) => item.places).map((item) => [item.pointer, item]));
  const insteadOf = [...new Set(group.flatMap((item) => item.insteadOf ?? []))].sort();
  return {
    ...worst,
    places: [...places.values()],
    ...(insteadOf.length > 0 && { insteadOf }),
  };
}

function isWorse(a: FindingReport, b: FindingReport): boolean {
  return LEVELS.indexOf(a.level) < LEVELS.indexOf(b.level);
}
