import { LEVELS, type Level } from '../kit/finding.js';
import { ruleOrder } from '../kit/mending-order.js';
import { counted } from './finding-words.js';
import type { AssetReport } from './report-types.js';

/** What one rule found in the assets of a run; waived findings are left out. */
export interface RuleCounts {
  readonly rule: string;
  /** How many assets have a finding of it. */
  readonly assets: number;
  readonly counts: Readonly<Record<Level, number>>;
}

/** Sums up findings by their rule over assets, one at a time. */
export class RuleTally {
  #assets = 0;
  readonly #rules = new Map<string, { assets: number; counts: Record<Level, number> }>();

  add(asset: AssetReport): void {
    this.addCounts(ruleCounts(asset));
  }

  /** Adds what `ruleCounts` found in an asset. */
  addCounts(rules: ReturnType<typeof ruleCounts>): void {
    if (rules.size > 0) this.#assets++;
    for (const [rule, counts] of rules) {
      const sum = this.#rules.get(rule) ?? { assets: 0, counts: { error: 0, warning: 0, note: 0 } };
      sum.assets++;
      for (const level of LEVELS) sum.counts[level] += counts[level];
      this.#rules.set(rule, sum);
    }
  }

  /**
   * The rule with findings in most assets first; of as many, the one that is mended first. Empty where
   * no more than one asset has findings: its own list says it all.
   */
  rules(): RuleCounts[] {
    if (this.#assets < 2) return [];
    return [...this.#rules]
      .map(([rule, sum]) => ({ rule, ...sum }))
      .sort(
        (a, b) => b.assets - a.assets || ruleOrder(a.rule, b.rule) || (a.rule < b.rule ? -1 : 1),
      );
  }
}

/** Rules with findings in an asset that nobody waived, and how many of each level. */
export function ruleCounts({ findings }: AssetReport): Map<string, Record<Level, number>> {
  const rules = new Map<string, Record<Level, number>>();
  for (const { rule, level, waived } of findings) {
    if (waived !== undefined) continue;
    const counts = rules.get(rule) ?? { error: 0, warning: 0, note: 0 };
    counts[level]++;
    rules.set(rule, counts);
  }
  return rules;
}

/**
 * A line each rule, in columns: `axis.up       5 assets  2 errors, 4 warnings`. Empty where there is no
 * finding.
 */
export function tallyLines(rules: readonly RuleCounts[]): string[] {
  const [names, assets] = [
    rules.map(({ rule }) => rule),
    rules.map((entry) => counted(entry.assets, 'asset')),
  ];
  const wide = (words: readonly string[]): number =>
    words.reduce((most, { length }) => Math.max(most, length), 0);
  const [first, second] = [wide(names), wide(assets)];
  return rules.map(({ rule, counts }, index) => {
    const found = LEVELS.filter((level) => counts[level] > 0).map((level) =>
      counted(counts[level], level),
    );
    return `${rule.padEnd(first)}  ${(assets[index] ?? '').padEnd(second)}  ${found.join(', ')}`;
  });
}
