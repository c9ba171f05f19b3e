import { dirname } from 'node:path';
import { AssetError } from '../asset/errors.js';
import type { Settings } from '../check/settings.js';
import { type Axis, type Facts, sameAxis } from '../measure/facts.js';
import { conventions } from '../measure/skeleton/conventions.js';
import type { FindingReport } from '../report/report-types.js';
import type { Rig, RigModel } from '../rig/types.js';
import { recordAllowed } from './allowed-change.js';
import { Editable } from './file/editable.js';
import type { Files } from './file/pack-files.js';
import { FITTING } from './fitting.js';
import { turnToConvention } from './frames/convention.js';
import { Like } from './like.js';
import { Mending, type MendOptions, type Offence } from './mending.js';
import { type PlayedRig, playBoth } from './played.js';
import type { Progress } from './progress.js';
import { isSeen } from './proof/proof.js';
import type { Readings } from './readings.js';
import type { LeftAlone, Repair } from './repair.js';
import { houseConvention } from './repairs/house-convention.js';
import type { SparedPlaces } from './spared.js';

/** What a mend did, and the proof that nothing is seen of it. */
export interface MendResult extends ReturnType<Mending['outcome']> {
  /** Rules whose findings are not mended since the choice of rules leaves them out. */
  readonly unasked: ReadonlySet<string>;
  /** The repair that changes what is seen; null when none does. Nothing is to be written then. */
  readonly offending: Offence | null;
  /** False where the rig was to be turned to a convention and cannot be: nothing is to be written then. */
  readonly isTurned: boolean;
  /** What the clips of the approved asset show on the rigs; null where these are not made like it. */
  readonly played: readonly PlayedRig[] | null;
  /** What to write. */
  readonly files: Files;
  /** What became of packed data, in sentences. */
  readonly notes: readonly string[];
  /** Paths of joints that were renamed, old to new. */
  readonly renamed: ReadonlyMap<string, string>;
  /** All files beside it that the original names. */
  readonly led: readonly string[];
  /** Files that it still names, which lie beside the original. */
  readonly externals: readonly string[];
}

/** Refers to the frames of nodes and is not carried along: it takes the translations of some for numbers. */
const POINTING = 'VRMC_vrm_animation';

/** The step that turns whole rigs to a convention that the user names. */
export const CONVENTION = 'the convention';

/** Rounds of all repairs: what one of them mends can show the next what to do. */
const ROUNDS = 8;

/** What a run came to, and the mend that it was. */
export interface Outcome {
  readonly result: MendResult;
  readonly mending: Mending;
}

/** Repairs that do not come to rest. */
export interface Restless {
  readonly restless: readonly Repair[];
}

/** How one run goes. */
export interface Run {
  readonly spared: SparedPlaces;
  /** What earlier runs over the same asset read. */
  readonly readings: Readings;
  readonly progress: Progress;
}

/**
 * One run over all repairs; where they do not come to rest, only those that went on changing something.
 */
export async function attempt(
  path: string,
  settings: Settings,
  repairs: readonly Repair[],
  options: MendOptions,
  { spared, readings, progress }: Run,
): Promise<Outcome | (Restless & { readonly mending: Mending })> {
  const {
    name = path,
    only = null,
    convention = null,
    stem = null,
    allow = [],
    resample = false,
    restFrom = null,
    pack = false,
    also = [],
    skip = [],
    approved = null,
    judge = (report) => report,
  } = options;
  const edit = await Editable.open(path, { pack });
  if (edit.json.extensionsUsed?.includes(POINTING) === true)
    throw new AssetError(
      `it uses ${POINTING}, which refers to the frames of joints, and a mend cannot change that with them`,
    );
  const answered = repairs.flatMap((repair) => repair.rules);
  const terms = { name, settings, approved, answered, allow, judge, readings };
  const like = new Like(approved, repairs, options);
  const mending = await Mending.begin(edit, dirname(path), terms);
  const unasked = new Set(
    answered.filter(
      (rule) => skip.includes(rule) || (only?.includes(rule) === false && !also.includes(rule)),
    ),
  );
  const finish = (offending: Offence | null, isTurned = true): Outcome => {
    const outcome = mending.outcome();
    // Names of all rigs at once; a path of one rig that another has too is the same joint's in both.
    const joints = outcome.renames
      .flatMap(({ places }) => places)
      .filter(({ kind }) => kind === 'joint');
    const { wanted } = settings;
    const left = [...outcome.left, ...spared.left()];
    const [old, now] = [mending.original.model, mending.present.model];
    const result = {
      ...outcome,
      left: [...left, ...like.unlike(outcome.after, left)],
      played: like.isAsked ? playBoth(like, wanted, old, now) : null,
      unasked,
      offending,
      isTurned,
      files: edit.files(stem),
      notes: edit.notes,
      externals: edit.externals(),
      led: edit.led,
      renamed: new Map(joints.map(({ old, now }) => [old, now])),
    };
    return { result, mending };
  };
  const facts = (rig: Rig): Facts => ({
    rig,
    wanted: settings.wanted,
    ...like.approvedOf(rig, mending.present.model),
  });
  const choices = { allow: new Set(allow), resample, restFrom };
  // A convention from the options goes before that of the standard.
  const able = repairs.filter((repair) => convention === null || repair !== houseConvention);
  /** Whether a repair is to mend a finding; one that it would only mend when asked is left alone. */
  const isMended = ({ isBold = false }: Repair, finding: FindingReport): boolean => {
    const { rule, place, waived } = finding;
    if (waived !== undefined || skip.includes(rule)) return false;
    const overruled = like.whyOverruled(finding, mending.present.model);
    if (overruled !== null) {
      mending.leave([{ rule, place: place.path, why: overruled }]);
      return false;
    }
    if (also.includes(rule)) return true;
    if (only !== null || !isBold) return only?.includes(rule) !== false;
    mending.leave([{ rule, place: place.path, why: whyNotAsked(rule) }]);
    return false;
  };
  /** What one round of all repairs changed; or the repair that shows, if one does. */
  const runRound = async (): Promise<Offence | Restless> => {
    const restless: Repair[] = [];
    mending.forgetLeft();
    for (const repair of able) {
      const findings = spared
        .without(mending.forRepairs())
        .filter((finding) => repair.rules.includes(finding.rule) && isMended(repair, finding));
      if (findings.length === 0) continue;
      progress.begin(repair.name);
      const { model, looks } = mending.present;
      const mended = repair.mend({ edit, model, facts, findings, settings, looks, ...choices });
      const offence = await mending.step(repair.name, mended, findings);
      if (offence !== null) return offence;
      if (mended.changes.length > 0) restless.push(repair);
    }
    return { restless };
  };
  /** Rounds until nothing changes; or the repair that shows, or those that still change something. */
  const runRounds = async (): Promise<Offence | Restless | null> => {
    /** The repairs that changed something in each round, and the file after it. */
    const rounds: { readonly restless: readonly Repair[]; readonly state: string }[] = [];
    while (rounds.length < ROUNDS) {
      const round = await runRound();
      if (!('restless' in round)) return round;
      if (round.restless.length === 0) return null;
      const { state } = mending.present;
      const first = rounds.findIndex((earlier) => earlier.state === state);
      rounds.push({ ...round, state });
      // From a file that was there before, the rounds repeat up to the last.
      if (first !== -1)
        return rounds[first + 1 + ((ROUNDS - 2 - first) % (rounds.length - 1 - first))] ?? round;
    }
    return rounds.at(-1) ?? null;
  };
  let trouble = await runRounds();
  if (trouble === null && convention !== null) {
    // Last, since a mended rig can be turned where a faulty one cannot.
    progress.begin(CONVENTION);
    const { model } = mending.present;
    const turned = turnToConvention({ edit, model }, convention.aim, convention.up);
    const offence = await mending.step(CONVENTION, { ...turned, seen: [] });
    if (offence !== null || turned.left.length > 0) return finish(offence, false);
    const left = unread(mending.present.model, convention);
    mending.leave(left);
    if (left.length > 0) return finish(null, false);
    trouble = await runRounds();
  }
  if (trouble !== null) return 'restless' in trouble ? { ...trouble, mending } : finish(trouble);
  if (mending.allowed.length > 0) recordAllowed(edit.json, mending.allowed);
  const { proof } = mending.outcome();
  // Steps that each show nothing could show together, beside what was allowed to show.
  const isTogether = isSeen(mending.allowed.length === 0 ? proof : mending.hidden);
  const offence = isTogether ? { repair: 'all of them together', rules: [], proof } : null;
  return finish(offence);
}

/** Why a bold mend is not made. */
function whyNotAsked(rule: string): string {
  if (rule.startsWith(FITTING))
    return `the rig is only made like the approved one when asked; add --like with the approved file, or --also ${rule}`;
  const stretch =
    rule === 'chain.parent'
      ? '. Where clips move the limb on its own, such as a foot that is driven from the ground, the bone to it then stretches; such a limb is better left where it is'
      : '';
  return `it would change the joint tree, the list of joints or names, and that is only done when asked; add --also ${rule}${stretch}`;
}

const UNREAD =
  'after the turn, the frames would not show the axes that you asked for, and the next mend would turn them again; the frames do not follow one convention';

/** Rigs that do not show the convention that they were turned to. */
function unread({ rigs }: RigModel, wanted: { aim: Axis; up: Axis }): LeftAlone[] {
  return rigs.flatMap((rig) => {
    const { aim, up } = conventions({ rig, wanted: { aim: null, up: null } });
    const isRead =
      aim !== null && up !== null && sameAxis(aim.middle, wanted.aim) && sameAxis(up, wanted.up);
    return isRead ? [] : [{ rule: 'axis.uniform', place: rig.name, why: UNREAD }];
  });
}
