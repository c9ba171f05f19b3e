import type { Settings } from '../check/settings.js';
import { isFailing, LEVELS, type Level } from '../kit/finding.js';
import { mendingOrder } from '../kit/mending-order.js';
import type { Rule } from '../kit/rule.js';
import type { AssetReport, FindingReport } from '../report/report-types.js';
import type { FamilyGrade, Grade, RuleGrade } from './grade-assets.js';

/** All findings of one rule in a submission, and what they cost. */
export interface Fix {
  readonly rule: Rule;
  /** Level of its gravest finding. */
  readonly level: Level;
  /** The gravest first, else in report order. */
  readonly findings: readonly PlacedFinding[];
  /** How its family was graded; null where it is worth no points. */
  readonly family: FamilyGrade | null;
  /** How the rule was; null for the same reason. */
  readonly grade: RuleGrade | null;
}

export interface PlacedFinding {
  readonly asset: AssetReport;
  readonly finding: FindingReport;
}

/**
 * What to fix, in order: first what makes the rig unsound, and errors in any case, in the order in
 * which faults are mended, as the report has it; then what costs most; then again in that order.
 */
export function fixesOf(
  assets: readonly AssetReport[],
  grade: Grade | null,
  { rules, failing }: Settings,
): Fix[] {
  const fixes = rules.flatMap((rule): Fix[] => {
    const own = assets.flatMap((asset) =>
      asset.findings.flatMap((finding) => (finding.rule === rule.id ? [{ asset, finding }] : [])),
    );
    const findings = LEVELS.flatMap((level) => own.filter((item) => item.finding.level === level));
    const level = findings[0]?.finding.level;
    if (level === undefined) return [];
    const family = grade?.families.find((item) => item.family === rule.family) ?? null;
    const graded = family?.rules.find((item) => item.rule === rule) ?? null;
    return [{ rule, level, findings, family, grade: graded }];
  });
  const grave = ({ level }: Fix): number =>
    level === 'error' || isFailing(level, failing) ? 0 : 1;
  const mended = (a: Fix, b: Fix): number =>
    mendingOrder({ level: a.level, rule: a.rule.id }, { level: b.level, rule: b.rule.id });
  const cost = (a: Fix, b: Fix): number => (grave(a) === 0 ? 0 : lostBy(b) - lostBy(a));
  return fixes.sort(
    (a, b) => grave(a) - grave(b) || cost(a, b) || mended(a, b) || lostBy(b) - lostBy(a),
  );
}

/** Points that a rule costs, not rounded. */
export function lostBy({ grade }: Fix): number {
  return grade?.lost ?? 0;
}
