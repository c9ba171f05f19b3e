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
import { turnToConvention } from './frames/convention.js';
import { Mending, type MendOptions, type Offence, type Reading } from './mending.js';
import { isSeen } from './proof/proof.js';
import type { LeftAlone, Repair } from './repair.js';
import { houseConvention } from './repairs/house-convention.js';

export type { MendOptions, Offence } from './mending.js';
export { LARGEST_SHIFT } from './proof/proof-limits.js';

/** What a mend did, and the proof that nothing is seen of it. */
export interface MendResult extends ReturnType<Mending['outcome']> {
  /** The repair that changes what is seen; null when none does. Nothing is to be written then. */
  readonly offending: Offence | null;
  /** False where the rig was to be turned to a convention and cannot be: nothing is to be written then. */
  readonly isTurned: boolean;
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

/** Rounds of all repairs: what one of them mends can show the next what to do. */
const ROUNDS = 8;

/**
 * Mends what can be mended exactly in one asset. A repair that never comes to rest, since each of its
 * mends brings up another thing to mend, is left out of it altogether: a mended file has to be one that
 * a mend does not change.
 *
 * @param repairs In the order they are to be applied.
 * @throws AssetError when the asset cannot be read, or carries what a mend would break.
 */
export async function mendAsset(
  path: string,
  settings: Settings,
  repairs: readonly Repair[],
  options: MendOptions = {},
): Promise<MendResult> {
  const leftOut: Repair[] = [];
  let original: Reading | undefined;
  for (;;) {
    const able = repairs.filter((repair) => !leftOut.includes(repair));
    const result = await attempt(path, settings, able, options, original);
    if ('restless' in result) {
      leftOut.push(...result.restless);
      original = result.original;
      continue;
    }
    const rules = new Set(leftOut.flatMap((repair) => repair.rules));
    const left = result.after.findings
      .filter(({ rule }) => rules.has(rule))
      .map(({ rule, place }) => ({ rule, place: place.path, why: RESTLESS }));
    return { ...result, left: [...result.left, ...left] };
  }
}

/** Repairs that do not come to rest. */
interface Restless {
  readonly restless: readonly Repair[];
}

const RESTLESS = 'each mend of it leads to another finding like it';

/**
 * One run over all repairs; where they do not come to rest, only those that went on changing something.
 *
 * @param original The asset as an earlier run read it.
 */
async function attempt(
  path: string,
  settings: Settings,
  repairs: readonly Repair[],
  {
    name = path,
    only = null,
    convention = null,
    stem = null,
    allow = [],
    resample = false,
    restFrom = null,
    pack = false,
    judge = (report) => report,
  }: MendOptions,
  original?: Reading,
): Promise<MendResult | (Restless & Pick<Mending, 'original'>)> {
  const edit = await Editable.open(path, { pack });
  if (edit.json.extensionsUsed?.includes(POINTING) === true)
    throw new AssetError(
      `it uses ${POINTING}, which refers to the frames of joints, and a mend cannot change that with them`,
    );
  const answered = repairs.flatMap((repair) => repair.rules);
  const terms = { name, settings, answered, allow, judge };
  const mending = await Mending.begin(edit, dirname(path), terms, original);
  const finish = (offending: Offence | null, isTurned = true): MendResult => {
    const outcome = mending.outcome();
    // Names of all rigs at once; a path of one rig that another has too is the same joint's in both.
    const joints = outcome.renames
      .flatMap(({ places }) => places)
      .filter(({ kind }) => kind === 'joint');
    return {
      ...outcome,
      offending,
      isTurned,
      files: edit.files(stem),
      notes: edit.notes,
      externals: edit.externals(),
      led: edit.led,
      renamed: new Map(joints.map(({ old, now }) => [old, now])),
    };
  };
  const facts = (rig: Rig): Facts => ({ rig, wanted: settings.wanted });
  const choices = { allow: new Set(allow), resample, restFrom };
  // A convention from the options goes before that of the standard.
  const able = repairs.filter((repair) => convention === null || repair !== houseConvention);
  const isMended = ({ rule, waived }: FindingReport): boolean =>
    waived === undefined && only?.includes(rule) !== false;
  /** What one round of all repairs changed; or the repair that shows, if one does. */
  const runRound = async (): Promise<Offence | Restless> => {
    const restless: Repair[] = [];
    mending.forgetLeft();
    for (const repair of able) {
      const findings = mending
        .findings()
        .filter((finding) => repair.rules.includes(finding.rule) && isMended(finding));
      if (findings.length === 0) continue;
      const { model, looks } = mending.present;
      const mended = repair.mend({ edit, model, facts, findings, settings, looks, ...choices });
      const offence = await mending.step(repair.name, mended);
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
    const { model } = mending.present;
    const turned = turnToConvention({ edit, model }, convention.aim, convention.up);
    const offence = await mending.step('the convention', { ...turned, seen: [] });
    if (offence !== null || turned.left.length > 0) return finish(offence, false);
    const left = unread(mending.present.model, convention);
    mending.leave(left);
    if (left.length > 0) return finish(null, false);
    trouble = await runRounds();
  }
  if (trouble !== null)
    return 'restless' in trouble ? { ...trouble, original: mending.original } : finish(trouble);
  if (mending.allowed.length > 0) recordAllowed(edit.json, mending.allowed);
  const { proof } = mending.outcome();
  // Steps that each show nothing could show together, beside what was allowed to show.
  const isTogether = isSeen(mending.allowed.length === 0 ? proof : mending.hidden);
  const offence = isTogether ? { repair: 'all of them together', rules: [], proof } : null;
  return finish(offence);
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
