import { rulesToRun, type Settings } from '../check/settings.js';
import type { Level } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import type { AssetReport } from '../report/report-types.js';
import { type FamilyWorth, type Rubric, WEIGHTS } from './rubric.js';
import { type RuleTally, tallyRule } from './tally-rules.js';
import { scaleTenths, type Tenths, toTenths } from './tenths.js';

/** A rule that had something to look at. */
export interface RuleGrade extends RuleTally {
  readonly rule: Rule;
  readonly level: Level;
  readonly weight: number;
  /** Points, not rounded. */
  readonly lost: number;
}

export interface FamilyGrade extends FamilyWorth {
  /** Rules that applied, in rule order. */
  readonly rules: readonly RuleGrade[];
  readonly weights: number;
  readonly lost: number;
  /** Null where no rule of the family applied. */
  readonly earned: Tenths | null;
  readonly because: readonly string[];
}

export interface Grade {
  readonly families: readonly FamilyGrade[];
  /** The families' points as they are shown, and what the families that applied are worth. */
  readonly earned: Tenths;
  readonly possible: Tenths;
  /** The same share of the whole rubric, so that submissions compare; null where nothing applied. */
  readonly scaled: Tenths | null;
}

/**
 * Grades what was measured on one submission. A rule costs
 *   worth of its family x its weight / weights of the family's rules that applied x short / looked
 * and a family's points are rounded once, at the end. A family without any rule that applied is left
 * out of what is possible, so that nobody loses points for what a rig does not have.
 */
export function gradeAssets(
  assets: readonly AssetReport[],
  rubric: Rubric,
  settings: Settings,
): Grade {
  const rules = rulesToRun(settings).map((rule): WeightedRule => {
    const set = settings.levels.get(rule.id);
    const level = set === undefined || set === 'none' ? rule.level : set;
    return { rule, level, weight: WEIGHTS[level] };
  });
  const families = rubric.families.map((family) => gradeFamily(family, rules, assets));
  const applied = families.filter(({ earned }) => earned !== null);
  const earned = applied.reduce((sum, family) => sum + (family.earned ?? 0), 0);
  const possible = applied.reduce((sum, { worth }) => sum + worth, 0);
  const scaled = possible === 0 ? null : scaleTenths(earned, possible, rubric.whole);
  return { families, earned, possible, scaled };
}

type WeightedRule = Pick<RuleGrade, 'rule' | 'level' | 'weight'>;

function gradeFamily(
  { family, worth }: FamilyWorth,
  all: readonly WeightedRule[],
  assets: readonly AssetReport[],
): FamilyGrade {
  const tallies = all
    .filter(({ rule }) => rule.family === family)
    .map((weighted) => ({ ...weighted, ...tallyRule(weighted.rule, assets) }));
  const applied = tallies.filter(({ looked }) => looked > 0);
  const weights = applied.reduce((sum, { weight }) => sum + weight, 0);
  const rules = applied.map((tally): RuleGrade => {
    const { weight, short, looked } = tally;
    return { ...tally, lost: ((worth / 10) * weight * short) / (weights * looked) };
  });
  const lost = rules.reduce((sum, rule) => sum + rule.lost, 0);
  const earned = rules.length === 0 ? null : Math.max(0, toTenths(worth / 10 - lost));
  const because = tallies.flatMap((tally) => (tally.looked > 0 ? [] : tally.because));
  return { family, worth, rules, weights, lost, earned, because: [...new Set(because)] };
}
