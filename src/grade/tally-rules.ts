import type { Rule } from '../kit/rule.js';
import type { AssetReport, RigReport } from '../report/report-types.js';

/** What one rule was measured on, over all rigs of a submission. */
export interface RuleTally {
  /** Things looked at. */
  readonly looked: number;
  /** Those that fell short, of faults that this rule told itself. */
  readonly short: number;
  /** What they are: `joints`. */
  readonly of: string;
  /** Why it had nothing to say, where it looked at nothing. */
  readonly because: readonly string[];
}

/** Sums one rule over the rigs of all assets; a rule about assets over the assets. */
export function tallyRule(rule: Rule, assets: readonly AssetReport[]): RuleTally {
  return rule.scope === 'asset' ? tallyAssets(rule, assets) : tallyRigs(rule, assets);
}

function tallyAssets(rule: Rule, assets: readonly AssetReport[]): RuleTally {
  const short = assets.filter(({ findings }) => findings.some((item) => item.rule === rule.id));
  return { looked: assets.length, short: short.length, of: 'files', because: [] };
}

function tallyRigs(rule: Rule, assets: readonly AssetReport[]): RuleTally {
  let [looked, short, of] = [0, 0, ''];
  const because = new Set<string>();
  for (const asset of assets) {
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
      if (all === 0) because.add('there was nothing to look at');
      looked += all;
      // Where no finding stands, all of them stepped back for another fault, which costs enough.
      if (stands) short += Math.min(all, Math.max(1, measured.short));
      of ||= measured.of;
    }
  }
  return { looked, short, of, because: [...because] };
}

function speaksOf(rule: Rule, rig: RigReport, { findings }: AssetReport): boolean {
  return findings.some((finding) => finding.rule === rule.id && finding.rig === rig.index);
}
