import type { Rule } from '../kit/rule.js';
import type { AssetReport, RigReport } from '../report/report-types.js';

/** What one rule was measured on in a submission. */
export interface RuleTally {
  /** Things looked at. */
  readonly looked: number;
  /** Those that fell short, of faults that this rule told itself. */
  readonly short: number;
  /** Those whose fault another rule tells: they cost nothing here, and did not hold. */
  readonly elsewhere: number;
  /** What they are: `joints`. */
  readonly of: string;
  /** Why it had nothing to say, where it looked at nothing. */
  readonly because: readonly string[];
  /** The file whose share is counted; null where there is one file, or where all of them held. */
  readonly file: string | null;
}

/**
 * Sums one rule over a submission. Where something fell short, the file counts in which the greatest
 * share did: a second file, however sound, takes nothing off what the first one costs.
 */
export function tallyRule(rule: Rule, assets: readonly AssetReport[]): RuleTally {
  const each = assets.map((asset) => tallyAsset(rule, asset));
  const elsewhere = sumOf(each, (tally) => tally.elsewhere);
  const because = [...new Set(each.flatMap((tally) => tally.because))];
  const worst = each.reduce((a, b) => (isWorse(b, a) ? b : a), NOTHING);
  if (worst.short > 0)
    return { ...worst, elsewhere, because, file: assets.length > 1 ? worst.file : null };
  const looked = sumOf(each, (tally) => tally.looked);
  const of = each.find((tally) => tally.of !== '')?.of ?? '';
  return { looked, short: 0, elsewhere, of, because, file: null };
}

const NOTHING: RuleTally = { looked: 0, short: 0, elsewhere: 0, of: '', because: [], file: null };

function sumOf(tallies: readonly RuleTally[], value: (tally: RuleTally) => number): number {
  return tallies.reduce((sum, tally) => sum + value(tally), 0);
}

/** Equal shares go by what was looked at, so that the order of files does not matter. */
function isWorse(a: RuleTally, b: RuleTally): boolean {
  const difference = a.short * Math.max(1, b.looked) - b.short * Math.max(1, a.looked);
  return difference > 0 || (difference === 0 && a.looked > b.looked);
}

function tallyAsset(rule: Rule, asset: AssetReport): RuleTally {
  const file = asset.path;
  if (rule.scope === 'asset') {
    const short = asset.findings.some((item) => item.rule === rule.id) ? 1 : 0;
    return { looked: 1, short, elsewhere: 0, of: 'files', because: [], file };
  }
  let [looked, short, elsewhere, of] = [0, 0, 0, ''];
  const because = new Set<string>();
  for (const rig of asset.rigs) {
    const measured = rig.measured.find((item) => item.rule === rule.id);
    if (measured === undefined) continue;
    if (measured.kind === 'not applicable') {
      because.add(measured.because);
      continue;
    }
    const stands = speaksOf(rule, rig, asset);
    // A finding with nothing looked at is one thing that fell short.
    const all = stands ? Math.max(1, measured.looked) : measured.looked;
    if (all === 0) because.add('there was nothing to check');
    looked += all;
    // Where no finding stands, all of them stepped back for another fault, which costs enough.
    if (stands) short += Math.min(all, Math.max(1, measured.short));
    elsewhere += measured.elsewhere;
    of ||= measured.of;
  }
  return { looked, short, elsewhere, of, because: [...because], file };
}

function speaksOf(rule: Rule, rig: RigReport, { findings }: AssetReport): boolean {
  return findings.some((finding) => finding.rule === rule.id && finding.rig === rig.index);
}
