import { rulesToRun, type Settings } from '../check/settings.js';
import type { Level } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import type { AssetReport } from '../report/report-types.js';
import { type FamilyWorth, levelOf, type Rubric, WEIGHTS } from './rubric.js';
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
  /** Their weights together. */
  readonly weights: number;
  /** Points, not rounded. */
  readonly lost: number;
  /** Null where no rule of the family applied. */
  readonly earned: Tenths | null;
  /** Why rules did not apply. */
  readonly because: readonly string[];
}

export interface Grade {
  readonly families: readonly FamilyGrade[];
  /** The families' points as they are shown, added up. */
  readonly earned: Tenths;
  /** What the families that applied are worth. */
  readonly possible: Tenths;
  /** The same share of the whole rubric, so that submissions compare; null where nothing applied. */
  readonly scaled: Tenths | null;
}

/**
 * Grades what was measured on one submission. A rule costs
 *
 *   worth of its family x its weight / weights of the family's rules that applied x short / looked
 *
 * and a family's points are rounded once, at the end. A family without any rule that applied is left
 * out of what is possible, so that nobody loses points for what a rig does not have.
 */
export function gradeAssets(
  assets: readonly AssetReport[],
  rubric: Rubric,
  settings: Settings,
): Grade {
  const rules = rulesToRun(settings);
  const families = rubric.families.map((worth) => {
    const own = rules.filter((rule) => rule.family === worth.family);
    return gradeFamily(worth, own, assets, settings);
  });
  const applied = families.filter(({ earned }) => earned !== null);
  const earned = applied.reduce((sum, family) => sum + (family.earned ?? 0), 0);
  const possible = applied.reduce((sum, { worth }) => sum + worth, 0);
  const scaled = possible === 0 ? null : scaleTenths(earned, possible, rubric.whole);
  return { families, earned, possible, scaled };
}

function gradeFamily(
  { family, worth }: FamilyWorth,
  rules: readonly Rule[],
  assets: readonly AssetReport[],
  settings: Settings,
): FamilyGrade {
  const tallies = rules.map((rule) => ({ rule, ...tallyRule(rule, assets) }));
  const applied = tallies.filter(({ looked }) => looked > 0);
  const weightOf = (rule: Rule): number => WEIGHTS[levelOf(rule, settings)];
  const weights = applied.reduce((sum, { rule }) => sum + weightOf(rule), 0);
  const graded = applied.map((tally): RuleGrade => {
    const weight = weightOf(tally.rule);
    const lost = ((worth / 10) * weight * tally.short) / (weights * tally.looked);
    return { ...tally, level: levelOf(tally.rule, settings), weight, lost };
  });
  const lost = graded.reduce((sum, rule) => sum + rule.lost, 0);
  const earned = applied.length === 0 ? null : Math.max(0, toTenths(worth / 10 - lost));
  const because = [...new Set(tallies.flatMap((tally) => (tally.looked > 0 ? [] : tally.because)))];
  return { family, worth, rules: graded, weights, lost, earned, because };
}
