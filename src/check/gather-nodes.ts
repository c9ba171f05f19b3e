import { LEVELS } from '../kit/finding.js';
import type { FindingReport } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';

/**
 * A node above several rigs is found in each of them, and is one cause: the findings of one rule
 * about one node become one, the most serious of them, in the place of the first, with all that
 * they list.
 */
export function gatherNodes(findings: readonly FindingReport[]): FindingReport[] {
  // A finding about anything else is a group of its own.
  const groups = groupBy<FindingReport, unknown>(findings, (finding) =>
    finding.place.kind === 'node' ? `${finding.rule} ${finding.place.pointer}` : finding,
  );
  return [...groups.values()].flatMap((group) => (group.length === 1 ? group : merged(group)));
}

function merged(group: readonly FindingReport[]): FindingReport {
  const worst = group.reduce((a, b) => (LEVELS.indexOf(b.level) < LEVELS.indexOf(a.level) ? b : a));
  const places = new Map(group.flatMap((finding) => finding.places.map((at) => [at.pointer, at])));
  const insteadOf = [...new Set(group.flatMap((finding) => finding.insteadOf ?? []))].sort();
  return { ...worst, places: [...places.values()], ...(insteadOf.length > 0 && { insteadOf }) };
}
