import { rulesToRun, type Settings } from '../check/settings.js';
import { LEVELS } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import type { AssetReport } from '../report/report-types.js';
import type { Grading } from '../standard/grading.js';
import { countFrom, type FamilyCost, familyCost } from './family-cost.js';
import { type Faulty, faultyPlaces } from './faulty-places.js';
import { type AgainstModel, faultyAgainst, NO_MESH } from './model/against-model.js';
import { type FamilyWorth, mostUnsound, type Rubric } from './rubric.js';
import { type RuleTally, tallyRule } from './tally-rules.js';
import { scaleTenths, type Tenths, toTenths } from './tenths.js';

/** A rule that had something to look at. */
export interface RuleGrade extends RuleTally {
  readonly rule: Rule;
}

export interface FamilyGrade extends FamilyWorth {
  /** Rules that applied, in rule order. */
  readonly rules: readonly RuleGrade[];
  /** What is at fault in the file that loses most. */
  readonly faulty: readonly Faulty[];
  /** The path of that file; null where there is one alone, or nothing at fault. */
  readonly file: string | null;
  readonly cost: FamilyCost;
  /** Points of its own, not rounded. */
  readonly lost: number;
  /** Null where no rule of the family applied. */
  readonly earned: Tenths | null;
  readonly because: readonly string[];
}

/** What families with an error cost of all points, each once. */
export interface ErrorCost {
  readonly families: readonly string[];
  /** What one of them costs of what is possible, in points, not rounded. */
  readonly each: number;
  /** What they cost together. */
  readonly lost: Tenths;
}

export interface Grade {
  readonly families: readonly FamilyGrade[];
  readonly errors: ErrorCost;
  /** The families' points as they are shown less what errors cost, and what the families that applied are worth. */
  readonly earned: Tenths;
  readonly possible: Tenths;
  /** The same share of the whole rubric, so that submissions compare; null where nothing applied. */
  readonly uncapped: Tenths | null;
  /** The same, or the most that an unsound rig can get: the grade. */
  readonly scaled: Tenths | null;
  /** Whether any of its assets is unsound. */
  readonly unsound: boolean;
  /** What faults cost. */
  readonly grading: Grading;
}

/**
 * Grades what was found on one submission. A family loses
 *   its points x the share of the band that its joints at fault are in (`familyCost`)
 * in the file that loses most, and its points are rounded once, at the end. A family without any rule
 * that applied is left out of what is possible, so that nobody loses points for what a rig does not
 * have. Each family with an error then costs a share of what is possible, which is that share of all
 * points once these are scaled to the whole; nothing goes below 0. An unsound rig gets no more than the
 * share of all points that such a rig can get. Where there is a model, what is unlike it costs the points
 * of `fit` in the same way.
 */
export function gradeAssets(
  assets: readonly AssetReport[],
  rubric: Rubric,
  settings: Settings,
  against: AgainstModel | null = null,
): Grade {
  const rules = rulesToRun(settings);
  const families = rubric.families.map((family) =>
    family.family === FIT && against !== null
      ? gradeLikeness(family, against, assets.length, rubric)
      : gradeFamily(family, rules, assets, rubric),
  );
  const { grading, whole } = rubric;
  const applied = families.filter(({ earned }) => earned !== null);
  const kept = applied.reduce((sum, family) => sum + (family.earned ?? 0), 0);
  const possible = applied.reduce((sum, { worth }) => sum + worth, 0);
  const faulty = applied.filter((family) => hasError(family)).map(({ family }) => family);
  const each = (grading.error.value * possible) / 10;
  const lost = toTenths(faulty.length * each);
  const earned = Math.max(0, kept - lost);
  const uncapped = possible === 0 ? null : scaleTenths(earned, possible, whole);
  const unsound = assets.some(({ verdict }) => verdict === 'unsound');
  const most = unsound ? mostUnsound(rubric) : whole;
  const scaled = uncapped === null ? null : Math.min(uncapped, most);
  const errors = { families: faulty, each, lost };
  return { families, errors, earned, possible, uncapped, scaled, unsound, grading };
}

/** Whether anything at fault in a family counts as an error. */
export function hasError({ faulty }: Pick<FamilyGrade, 'faulty'>): boolean {
  return countFrom(faulty, 'error') > 0;
}

function gradeFamily(
  { family, worth }: FamilyWorth,
  all: readonly Rule[],
  assets: readonly AssetReport[],
  rubric: Rubric,
): FamilyGrade {
  const { grading } = rubric;
  const own = all.filter((rule) => rule.family === family);
  const tallies = own.map((rule): RuleGrade => ({ rule, ...tallyRule(rule, assets) }));
  const rules = tallies.filter(({ looked }) => looked > 0);
  const ids = new Set(own.map(({ id }) => id));
  const files = assets.map((asset) => {
    const findings = asset.findings.filter(({ rule }) => ids.has(rule));
    const faulty = [...faultyPlaces(asset, findings, grading).values()];
    return { file: asset.path, faulty, cost: familyCost(faulty, grading) };
  });
  const paid = paidFor(files, worth, assets.length, rubric);
  const earned = rules.length === 0 ? null : paid.earned;
  const because = tallies.flatMap((tally) => (tally.looked > 0 ? [] : tally.because));
  return { family, worth, rules, ...paid, earned, because: [...new Set(because)] };
}

/** The family whose points the comparison with a model has: no rule is about it. */
export const FIT = 'fit';

/** The same of what is unlike the model; nothing applies where no rig has its mesh. */
function gradeLikeness(
  { family, worth }: FamilyWorth,
  against: AgainstModel,
  assets: number,
  rubric: Rubric,
): FamilyGrade {
  const gone = against.unlike.map((): Faulty => ({ kind: 'rig', level: 'error' }));
  const files = against.files.map((file) => {
    const faulty = [...faultyAgainst(file), ...gone];
    return { file: file.path, faulty, cost: familyCost(faulty, rubric.grading) };
  });
  const paid = paidFor(files, worth, assets, rubric);
  const applies = files.length > 0;
  const earned = applies ? paid.earned : null;
  return { family, worth, rules: [], ...paid, earned, because: applies ? [] : [NO_MESH] };
}

/** What a family loses, in the file that loses most, also by its errors. */
function paidFor(files: readonly FileCost[], worth: Tenths, assets: number, rubric: Rubric) {
  const { grading, whole } = rubric;
  const allLost = (file: FileCost): number =>
    worth * file.cost.share + (hasError(file) ? grading.error.value * whole : 0);
  const worst = files.reduce<FileCost>((a, b) => (isDearer(b, a, allLost) ? b : a), NOTHING);
  const { faulty, cost } = worst;
  const file = assets > 1 && faulty.length > 0 ? worst.file : null;
  const lost = (worth / 10) * cost.share;
  return { faulty, file, cost, lost, earned: Math.max(0, toTenths(worth / 10 - lost)) };
}

type FileCost = Pick<FamilyGrade, 'file' | 'faulty' | 'cost'>;

const NOTHING: FileCost = { file: null, faulty: [], cost: { share: 0, terms: [] } };

/** Of files that cost the same, the one with more at fault is told, the graver first. */
function isDearer(a: FileCost, b: FileCost, lost: (file: FileCost) => number): boolean {
  if (lost(a) !== lost(b)) return lost(a) > lost(b);
  for (const level of LEVELS) {
    const [here, there] = [a, b].map(
      ({ faulty }) => faulty.filter((each) => each.level === level).length,
    );
    if (here !== there) return (here ?? 0) > (there ?? 0);
  }
  return false;
}
