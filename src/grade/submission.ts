import type { Settings } from '../check/settings.js';
import { isFailing, type Level } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import { unreadableWords } from '../report/finding-words.js';
import { totalsOf } from '../report/report-stream.js';
import type { AssetReport, Verdict } from '../report/report-types.js';
import { shareWords } from './class-words.js';
import { type Fix, fixesOf } from './fixes.js';
import { type Grade, gradeAssets } from './grade-assets.js';
import { type AgainstModel, lookAtModel } from './model/against-model.js';
import { firstAgainst } from './model/model-words.js';
import type { MarkRecord } from './older/mark-record.js';
import type { Rubric } from './rubric.js';
import type { Since } from './since.js';
import { type Skeleton, skeletonOf } from './skeleton.js';

/** A submission with its grade, or with null where a person has to look first. */
export interface Marked {
  readonly name: string;
  readonly assets: readonly AssetReport[];
  readonly verdict: Verdict;
  readonly grade: Grade | null;
  readonly counts: Readonly<Record<Level, number>>;
  /** Why a person should look, one reason each. */
  readonly look: readonly string[];
  /** How it is like the model of the class; null where it was compared with none. */
  readonly against: AgainstModel | null;
}

/**
 * Grades a submission. It gets no points, rather than none of them, when any of its assets could not
 * be read, when there is no rig in it, when hardly any joint of one moves skin, or when there is nothing
 * that the rubric gives points for.
 *
 * @param reason Why there are no assets, where the folder shows it.
 */
export function markSubmission(
  name: string,
  assets: readonly AssetReport[],
  reason: string | null,
  rubric: Rubric,
  settings: Settings,
  against: AgainstModel | null = null,
): Marked {
  const bare = [...assets.flatMap(bareRigs), ...hardlyRigs(assets)];
  const look = [...(reason === null ? [] : [reason]), ...assets.flatMap(lookAt), ...bare];
  const { totals, verdict: worst } = totalsOf(assets);
  const { counts, verdicts } = totals;
  const isRigged = assets.some(({ rigs }) => rigs.length > 0);
  const isGradable = verdicts.unreadable === 0 && isRigged && bare.length === 0;
  const points = isGradable ? gradeAssets(assets, rubric, settings, against) : null;
  const grade = points?.scaled === null ? null : points;
  if (points !== null && grade === null) look.push('no rule with points applies to it');
  if (grade !== null) look.push(...lookAtModel(against));
  return { name, assets, verdict: worst ?? 'unreadable', grade, counts, look, against };
}

function lookAt({ path, unreadable, rigs }: AssetReport): string[] {
  if (unreadable !== null)
    return [`${path} cannot be read: ${unreadableWords(unreadable).replace(/\.$/, '')}`];
  return rigs.length === 0 ? [`${path} has no rig: no mesh in it has a skin`] : [];
}

/** Under this share of joints that move skin, a mesh was not yet bound (common practice). */
const LEAST_BOUND = 1 / 3;
/** The joints of one limb: a shoulder, an elbow and a hand. */
const LIMB = 3;
/** Fewer joints are a lid or a lever, which may hang on one of them alone. */
const FEWEST_JOINTS = 4;

/** Rigs that are hardly bound: what cannot be judged on them would cost nothing. */
function bareRigs({ path, rigs }: AssetReport): string[] {
  return rigs.flatMap(({ name, joints, vertices }) => {
    const moving = joints.filter(({ movesSkin }) => movesSkin).length;
    if (vertices > 0 && (joints.length < FEWEST_JOINTS || moving >= LEAST_BOUND * joints.length))
      return [];
    const why =
      vertices === 0
        ? 'no vertex hangs on it'
        : `only ${moving} of ${joints.length} joints ${moving === 1 ? 'moves' : 'move'} skin`;
    return [`${path} has a rig "${name}" that is not bound: ${why}`];
  });
}

/** Why nothing that was handed in is a character: none of its rigs has joints enough for a limb. */
function hardlyRigs(assets: readonly AssetReport[]): string[] {
  const rigs = assets.flatMap((asset) => asset.rigs.map((rig) => ({ ...rig, path: asset.path })));
  const [most] = [...rigs].sort((a, b) => b.joints.length - a.joints.length);
  if (most === undefined || most.joints.length >= LIMB) return [];
  const count = most.joints.length;
  return [
    `${most.path} has a rig "${most.name}" of ${count === 1 ? 'one joint' : `${count} joints`}: too few to judge`,
  ];
}

/** What the tables of a class need of a submission, once its findings can be let go. */
export interface Row extends Omit<Marked, 'assets'> {
  /** The submission that it is, or that it is an animal of. */
  readonly from: string;
  readonly files: number;
  /** Whether any of its assets could be read, so that counts mean something. */
  readonly read: boolean;
  /** What to fix first, in a few words; null where nothing has to be. */
  readonly first: string | null;
  readonly skeletons: readonly Skeleton[];
  /** Its feedback, as a path in the folder of the grades. */
  readonly feedback: string;
  /** What is kept of it for the next hand-in. */
  readonly record: MarkRecord;
  /** What became of it since the hand-in before; null where it is compared with none. */
  readonly since: Since | null;
  /** By how much it is late, in ms; 0 where it is not. */
  readonly late: number;
  /** Rules that found fault in it, those to be mended first at the beginning. */
  readonly faults: readonly RuleCount[];
}

/** How many findings a rule has in a submission. */
export interface RuleCount {
  readonly rule: Rule;
  readonly findings: number;
  /** Whether they cost points. */
  readonly costs: boolean;
}

export function rowOf(
  marked: Marked,
  more: Pick<Row, 'from' | 'feedback' | 'record' | 'since' | 'late'>,
  settings: Settings,
): Row {
  const { assets, ...rest } = marked;
  const fixes = fixesOf(assets, marked.grade, settings);
  return {
    ...more,
    ...rest,
    files: assets.length,
    read: assets.some(({ verdict }) => verdict !== 'unreadable'),
    first:
      firstWords(fixes.filter((fix) => hasToBe(fix, settings))) ?? firstAgainst(marked.against),
    faults: fixes.map(({ rule, findings, faulty }) => ({
      ...{ rule, findings: findings.length, costs: faulty.length > 0 },
    })),
    skeletons: assets.flatMap(({ rigs }) => rigs.flatMap((rig) => skeletonOf(rig) ?? [])),
  };
}

/** A note that costs nothing is to be looked at, no more. */
function hasToBe({ level, faulty }: Fix, { failing }: Settings): boolean {
  return level !== 'note' || faulty.length > 0 || isFailing(level, failing);
}

/** `a joint rolled away from its segment (axis.up, 2 of 31 joints)`. */
function firstWords([fix]: readonly Fix[]): string | null {
  if (fix === undefined) return null;
  const { rule, grade: tally } = fix;
  const share =
    tally === null || tally.short === 0
      ? ''
      : `, ${shareWords(tally.short, tally.looked, tally.of)}`;
  return `${rule.title} (${rule.id}${share})`;
}
