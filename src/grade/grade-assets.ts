import { rulesToRun, type Settings } from '../check/settings.js';
import { LEVELS } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import type { AssetReport, FindingReport } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';
import type { Grading } from '../standard/grading.js';
import { NOTHING as NO_SHARE } from '../standard/share.js';
import { type FamilyCost, familyCost } from './family-cost.js';
import { countedLevel, type Faulty, faultyPlaces } from './faulty-places.js';
import { type AgainstModel, faultyAgainst, NO_MESH } from './model/against-model.js';
import { type FamilyWorth, mostOf, mostUnsound, type Rubric } from './rubric.js';
import { type RuleTally, tallyRule } from './tally-rules.js';
import { scaleTenths, type Tenths, toTenths } from './tenths.js';

/** A rule that had something to look at. */
export interface RuleGrade extends RuleTally {
  readonly rule: Rule;
}

export interface FamilyGrade extends FamilyWorth {
  /** Rules that applied, in rule order. */
  readonly rules: readonly RuleGrade[];
  /** What is at fault in the rig that loses most. */
  readonly faulty: readonly Faulty[];
  /** The path of that file; null where there is one alone, or nothing at fault. */
  readonly file: string | null;
  /** The rig of it that loses most, by its number; null where it is the file as a whole. */
  readonly rig: number | null;
  readonly cost: FamilyCost;
  /** Points of its own, not rounded. */
  readonly lost: number;
  /** Null where no rule of the family applied. */
  readonly earned: Tenths | null;
  readonly because: readonly string[];
}

/** The most that a submission can get, and the rule by which it is so; null where an unsound rig is. */
export interface Cap {
  readonly most: Tenths;
  readonly rule: string | null;
}

export interface Grade {
  readonly families: readonly FamilyGrade[];
  /** The families' points as they are shown, and what the families that applied are worth. */
  readonly earned: Tenths;
  readonly possible: Tenths;
  /** The same share of the whole rubric, so that submissions compare; null where nothing applied. */
  readonly uncapped: Tenths | null;
  /** The same, or the most that it can get: the grade. */
  readonly scaled: Tenths | null;
  /** The lowest of what it can get at most; null where nothing caps it. */
  readonly cap: Cap | null;
  /** What faults cost. */
  readonly grading: Grading;
}

/**
 * Grades what was found on one submission. A family loses
 *   its points x the share of the band that its joints at fault are in (`familyCost`)
 * in the rig that loses most, of all rigs of all files, and its points are rounded once, at the end. A family without any rule
 * that applied is left out of what is possible, so that nobody loses points for what a rig does not
 * have. An unsound rig, and one with a finding of some rules, gets no more than the share of all points
 * that such a rig can get. Where there is a model, what is unlike it costs the points of `fit` in the same
 * way.
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
  const earned = applied.reduce((sum, family) => sum + (family.earned ?? 0), 0);
  const possible = applied.reduce((sum, { worth }) => sum + worth, 0);
  const uncapped = possible === 0 ? null : scaleTenths(earned, possible, whole);
  const cap = capOf(assets, rubric);
  const scaled = uncapped === null ? null : Math.min(uncapped, cap?.most ?? whole);
  return { families, earned, possible, uncapped, scaled, cap, grading };
}

/** The lowest of what assets can get at most. */
function capOf(assets: readonly AssetReport[], rubric: Rubric): Cap | null {
  const { grading } = rubric;
  const found = new Set(
    assets.flatMap(({ findings }) =>
      findings
        .filter((finding) => countedLevel(finding, grading) !== 'note')
        .map(({ rule }) => rule),
    ),
  );
  const own = Object.keys(grading.most).filter((rule) => found.has(rule));
  const caps: Cap[] = own.map((rule) => ({ most: mostOf(rule, rubric), rule }));
  if (assets.some(({ verdict }) => verdict === 'unsound'))
    caps.unshift({ most: mostUnsound(rubric), rule: null });
  return caps.reduce<Cap | null>((a, b) => (a === null || b.most < a.most ? b : a), null);
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
  const files = assets.flatMap((asset) => {
    const findings = asset.findings.filter(
      (finding) => ids.has(finding.rule) || countsAlsoIn(asset, finding, family, grading),
    );
    return [...groupBy(findings, ({ rig }) => rig)].map(([rig, found]): FileCost => {
      const faulty = [...faultyPlaces(asset, found, grading).values()];
      return { file: asset.path, rig, faulty, cost: familyCost(faulty, grading) };
    });
  });
  const paid = paidFor(files, worth, assets.length);
  const earned = rules.length === 0 ? null : paid.earned;
  const because = tallies.flatMap((tally) => (tally.looked > 0 ? [] : tally.because));
  return { family, worth, rules, ...paid, earned, because: [...new Set(because)] };
}

/**
 * Whether a finding is an error of a rule that also counts in this family, about what moves skin:
 * control joints that were left in an export are not another lesson missed.
 */
export function countsAlsoIn(
  { rigs }: AssetReport,
  finding: FindingReport,
  family: string,
  grading: Grading,
): boolean {
  if (grading.also[finding.rule] !== family || countedLevel(finding, grading) !== 'error')
    return false;
  const joints = rigs.find(({ index }) => index === finding.rig)?.joints ?? [];
  const moves = joints.map(({ movesSkin }) => movesSkin);
  // Children stand behind their parents.
  for (const [at, { parent }] of [...joints.entries()].reverse())
    if (moves[at] && parent !== -1) moves[parent] = true;
  const named = new Set(finding.places.map(({ pointer }) => pointer));
  const listed = joints.flatMap(({ node }, at) => (named.has(`/nodes/${node}`) ? [at] : []));
  return listed.length === 0 || listed.some((at) => moves[at]);
}

/** The family whose points the comparison with a model has: no rule is about it. */
export const FIT = 'fit';

/**
 * The same of what is unlike the model; nothing applies where no rig has its mesh. One joint that is missing
 * or elsewhere is no lesson missed, so that an error costs no more than its band; a rig that is missing is.
 */
function gradeLikeness(
  { family, worth }: FamilyWorth,
  against: AgainstModel,
  assets: number,
  rubric: Rubric,
): FamilyGrade {
  const gone = against.unlike.map((): Faulty => ({ kind: 'rig', level: 'error' }));
  const grading = gone.length > 0 ? rubric.grading : { ...rubric.grading, error: NO_SHARE };
  const files = against.files.map((file) => {
    const faulty = [...faultyAgainst(file), ...gone];
    return { file: file.path, rig: null, faulty, cost: familyCost(faulty, grading) };
  });
  const paid = paidFor(files, worth, assets);
  const applies = files.length > 0;
  const earned = applies ? paid.earned : null;
  return { family, worth, rules: [], ...paid, earned, because: applies ? [] : [NO_MESH] };
}

/** What a family loses, in the rig that loses most: copies of a rig are no more faults. */
function paidFor(files: readonly FileCost[], worth: Tenths, assets: number) {
  const worst = files.reduce<FileCost>((a, b) => (isDearer(b, a) ? b : a), NOTHING);
  const { faulty, rig, cost } = worst;
  const file = assets > 1 && faulty.length > 0 ? worst.file : null;
  const lost = (worth / 10) * cost.share;
  return { faulty, file, rig, cost, lost, earned: Math.max(0, toTenths(worth / 10 - lost)) };
}

type FileCost = Pick<FamilyGrade, 'file' | 'rig' | 'faulty' | 'cost'>;

const NOTHING: FileCost = { file: null, rig: null, faulty: [], cost: { share: 0, terms: [] } };

/** Of files that cost the same, the one with more at fault is told, the graver first. */
function isDearer(a: FileCost, b: FileCost): boolean {
  if (a.cost.share !== b.cost.share) return a.cost.share > b.cost.share;
  for (const level of LEVELS) {
    const [here, there] = [a, b].map(
      ({ faulty }) => faulty.filter((each) => each.level === level).length,
    );
    if (here !== there) return (here ?? 0) > (there ?? 0);
  }
  return false;
}
