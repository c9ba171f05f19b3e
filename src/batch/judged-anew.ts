import { countLevels, verdictOf } from '../check/verdict.js';
import { levelCounts } from '../report/finding-words.js';
import { totalsOf } from '../report/report-stream.js';
import type { AssetReport, Report, ReportHead } from '../report/report-types.js';
import { visible } from '../report/visible.js';

/** An asset with the counts and the verdict that follow from its findings, whatever it says itself. */
export function judgedAnew(asset: AssetReport, failing: ReportHead['failing']): AssetReport {
  const counts = countLevels(asset.findings);
  const verdict = verdictOf({ ...asset, counts }, asset.standard?.failing ?? failing);
  return { ...asset, counts, verdict };
}

/** Findings that somebody waived. */
export function countWaived(assets: readonly AssetReport[]): number {
  const findings = assets.flatMap((asset) => asset.findings);
  return findings.filter(({ waived }) => waived !== undefined).length;
}

/**
 * What a report says of itself that does not follow from its findings, as one line; null when all does.
 * Somebody changed it, or another program did.
 */
export function disagreement(name: string, report: Report): string | null {
  const judge = isOlder(report) ? judgedAsOlder : judgedAnew;
  const judged = report.assets.map((asset) => ({ asset, anew: judge(asset, report.failing) }));
  const [first, ...others] = judged.filter(
    ({ asset, anew }) => asset.verdict !== anew.verdict || !sameNumbers(asset.counts, anew.counts),
  );
  const lead = `${visible(name)} does not agree with itself`;
  if (first !== undefined) {
    const { asset, anew } = first;
    const more = others.length === 0 ? '' : `; the same is true of ${others.length} more`;
    return `${lead}: it says that ${visible(asset.path)} is ${judgement(asset)}, but its findings say ${judgement(anew)}${more}; the findings count`;
  }
  const { totals, verdict } = totalsOf(judged.map(({ anew }) => anew));
  const { assets, verdicts, counts } = report.totals;
  const agrees =
    (report.ledger === null || report.ledger.waived === countWaived(report.assets)) &&
    verdict === report.verdict &&
    totals.assets === assets &&
    sameNumbers(
      { ...totals.verdicts, ...(isOlder(report) && NO_OTHERS) },
      { ...NO_OTHERS, ...verdicts },
    ) &&
    sameNumbers(totals.counts, counts);
  if (agrees) return null;
  return `${lead}: its totals are not the sums of its assets; the findings count`;
}

/** Reports were once without this verdict: an asset without a rig was sound. */
const NO_OTHERS = { 'nothing to judge': 0 };

function isOlder({ totals }: Report): boolean {
  return !Object.hasOwn(totals.verdicts, 'nothing to judge');
}

function judgedAsOlder(asset: AssetReport, failing: ReportHead['failing']): AssetReport {
  const anew = judgedAnew(asset, failing);
  return anew.verdict === 'nothing to judge' ? { ...anew, verdict: 'sound' } : anew;
}

export function sameNumbers<K extends string>(
  a: Readonly<Record<K, number>>,
  b: typeof a,
): boolean {
  // Both have the keys of their type.
  return (Object.keys(a) as K[]).every((key) => a[key] === b[key]);
}

/** `unsound (1 error, 0 warnings, 2 notes)`. */
function judgement({ verdict, counts }: AssetReport): string {
  return `${verdict} (${levelCounts(counts)})`;
}
