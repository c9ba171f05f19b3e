import { isFailing, LEVELS, type Level } from '../kit/finding.js';
import type { AssetReport, FindingReport } from '../report/report-types.js';

/** How many findings there are at each level, waived ones left out. */
export function countLevels(findings: readonly FindingReport[]): Record<Level, number> {
  const counts: Record<Level, number> = { error: 0, warning: 0, note: 0 };
  for (const finding of findings) if (finding.waived === undefined) counts[finding.level]++;
  return counts;
}

/** Whether any counted finding is at the failing level or above. */
export function isUnsound(counts: AssetReport['counts'], failing: Level | 'never'): boolean {
  return LEVELS.some((level) => counts[level] > 0 && isFailing(level, failing));
}
