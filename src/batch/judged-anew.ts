import { countLevels, isUnsound } from '../check/verdict.js';
import { counted } from '../report/finding-words.js';
import { totalsOf } from '../report/report-stream.js';
import type { AssetReport, Report, ReportHead, Totals, Verdict } from '../report/report-types.js';
import { visible } from '../report/visible.js';

/** An asset with the counts and the verdict that follow from its findings, whatever it says itself. */
export function judgedAnew(asset: AssetReport, failing: ReportHead['failing']): AssetReport {
  const counts = countLevels(asset.findings);
  const verdict: Verdict =
    asset.unreadable !== null ? 'unreadable' : isUnsound(counts, failing) ? 'unsound' : 'sound';
  return { ...asset, counts, verdict };
}

/** Findings that somebody waived. */
export function countWaived(assets: readonly AssetReport[]): number {
  const waived = assets.map(({ findings }) => findings.filter((item) => item.waived !== undefined));
  return waived.reduce((sum, list) => sum + list.length, 0);
}

/**
 * What a report says of itself that does not follow from its findings, as one line; null when all does.
 * Somebody changed it, or another program did.
 */
export function disagreement(name: string, report: Report): string | null {
  const judged = report.assets.map((asset) => judgedAnew(asset, report.failing));
  const differing = report.assets.flatMap((asset, at) => {
    const anew = judged[at];
    return anew === undefined || sameJudgement(asset, anew) ? [] : [{ asset, anew }];
  });
  const [first, ...others] = differing;
  const lead = `${visible(name)} does not agree with itself`;
  if (first !== undefined) {
    const { asset, anew } = first;
    const more = others.length === 0 ? '' : `; the same is true of ${others.length} more`;
    return `${lead}: it says that ${visible(asset.path)} is ${judgement(asset)}, but its findings say ${judgement(anew)}${more}; the findings count`;
  }
  const { totals, verdict } = totalsOf(judged);
  const waived = report.ledger === null || report.ledger.waived === countWaived(report.assets);
  if (verdict === report.verdict && sameTotals(totals, report.totals) && waived) return null;
  return `${lead}: its totals are not the sums of its assets; the findings count`;
}

function sameJudgement(a: AssetReport, b: AssetReport): boolean {
  return a.verdict === b.verdict && sameNumbers(a.counts, b.counts);
}

function sameTotals(a: Totals, b: Totals): boolean {
  return (
    a.assets === b.assets && sameNumbers(a.verdicts, b.verdicts) && sameNumbers(a.counts, b.counts)
  );
}

function sameNumbers<K extends string>(a: Readonly<Record<K, number>>, b: typeof a): boolean {
  // Both have the keys of their type.
  return (Object.keys(a) as K[]).every((key) => a[key] === b[key]);
}

/** `unsound (1 error, 0 warnings, 2 notes)`. */
function judgement({ verdict, counts: { error, warning, note } }: AssetReport): string {
  const words = [counted(error, 'error'), counted(warning, 'warning'), counted(note, 'note')];
  return `${verdict} (${words.join(', ')})`;
}
