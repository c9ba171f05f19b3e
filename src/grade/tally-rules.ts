import type { Rule } from '../kit/rule.js';
import type { AssetReport } from '../report/report-types.js';

/** What one rule was measured on in a submission. */
export interface RuleTally {
  readonly looked: number;
  /** Those at fault, of faults that this rule reported itself. */
  readonly short: number;
  /** Those whose fault another rule reports: they are not counted here, and are not good either. */
  readonly elsewhere: number;
  /** The things: `joints`. */
  readonly of: string;
  /** Why it had nothing to say, where it looked at nothing. */
  readonly because: readonly string[];
}

/**
 * Sums one rule over a submission. Where something is at fault, the file counts in which the greatest
 * share is: a second file, however sound, takes nothing off the first one.
 */
export function tallyRule(rule: Rule, assets: readonly AssetReport[]): RuleTally {
  const tallies = assets.map((asset) => tallyAsset(rule, asset));
  const all = {
    looked: tallies.reduce((sum, { looked }) => sum + looked, 0),
    short: 0,
    elsewhere: tallies.reduce((sum, { elsewhere }) => sum + elsewhere, 0),
    of: tallies.find(({ of }) => of !== '')?.of ?? '',
    because: [...new Set(tallies.flatMap(({ because }) => because))],
  };
  const worst = tallies.reduce<RuleTally>((a, b) => (isWorse(b, a) ? b : a), NOTHING);
  if (worst.short === 0) return all;
  const { looked, short, of } = worst;
  return { ...all, looked, short, of };
}

const NOTHING: RuleTally = { looked: 0, short: 0, elsewhere: 0, of: '', because: [] };

/** Equal shares go by what was looked at, so that the order of files does not matter. */
function isWorse(a: RuleTally, b: RuleTally): boolean {
  const difference = a.short * Math.max(1, b.looked) - b.short * Math.max(1, a.looked);
  return difference > 0 || (difference === 0 && a.looked > b.looked);
}

function tallyAsset(rule: Rule, { findings, rigs }: AssetReport): RuleTally {
  const found = findings.filter((finding) => finding.rule === rule.id);
  if (rule.scope === 'asset')
    return { ...NOTHING, looked: 1, short: Math.min(1, found.length), of: 'files' };
  let [looked, short, elsewhere, of] = [0, 0, 0, ''];
  const because = new Set<string>();
  for (const rig of rigs) {
    const measured = rig.measured.find((entry) => entry.rule === rule.id);
    if (measured === undefined) continue;
    if (measured.kind === 'not applicable') {
      because.add(measured.because);
      continue;
    }
    const isFound = found.some((finding) => finding.rig === rig.index);
    // A finding with nothing looked at is one thing at fault.
    const all = isFound ? Math.max(1, measured.looked) : measured.looked;
    if (all === 0) because.add('there was nothing to check');
    looked += all;
    // Where no finding is left, all of them stepped back for another fault, which costs enough.
    if (isFound) short += Math.min(all, Math.max(1, measured.short));
    elsewhere += measured.elsewhere;
    of ||= measured.of;
  }
  return { looked, short, elsewhere, of, because: [...because] };
}
