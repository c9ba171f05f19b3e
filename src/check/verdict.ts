import { isFailing, LEVELS, type Level } from '../kit/finding.js';
import type { AssetReport, FindingReport, Verdict } from '../report/report-types.js';

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

/** What an asset is if no finding makes it unsound: where there is no rig, nothing of it was judged. */
export function verdictWithoutFault({ rigs, asked }: Pick<AssetReport, 'rigs' | 'asked'>): Verdict {
  return rigs.length === 0 && asked === undefined ? 'nothing to judge' : 'sound';
}

/** The verdict that follows from what was found in an asset, and from what was asked of it. */
export function verdictOf(
  asset: Pick<AssetReport, 'unreadable' | 'rigs' | 'asked' | 'counts'>,
  failing: Level | 'never',
): Verdict {
  if (asset.unreadable !== null) return 'unreadable';
  return isUnsound(asset.counts, failing) ? 'unsound' : verdictWithoutFault(asset);
}
