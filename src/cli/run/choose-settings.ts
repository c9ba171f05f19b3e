import { relative, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { defaultSettings, type Settings } from '../../check/settings.js';
import type { Level } from '../../kit/finding.js';
import type { SetRules } from '../../report/limit-words.js';
import { slashes } from '../../report/slashes.js';
import type { ApprovedPattern } from '../../standard/approved-patterns.js';
import type { Standard } from '../../standard/read-standard.js';
import type { SubmissionRules } from '../../standard/submission-rules.js';
import type { Io } from '../io.js';
import { type LeftOut, leftOutBy } from '../paths/left-out.js';
import { type KnownRules, knownRules, type OwnFlags } from './own-rules.js';
import { isNamed, refuseUnknownRules } from './rule-names.js';
import { namesAbove, StandardLines } from './standard-lines.js';

/** Options that choose the standard, the rules and the failing level. */
export interface SettingsFlags extends OwnFlags {
  readonly standard?: string | boolean;
  readonly failing?: Level | 'never';
  readonly only?: readonly string[];
  readonly skip?: readonly string[];
  readonly motion?: boolean;
}

export interface ChosenSettings {
  readonly settings: Settings;
  /** The standard file, as the user knows it; null for none. */
  readonly standard: string | null;
  /** Those that it takes from, the nearest first. */
  readonly above: readonly string[];
  /** Which assets have to fit which approved one, by the standard. */
  readonly approved: readonly ApprovedPattern[];
  /** The same as an absolute path. */
  readonly path: string | null;
  /** What the standard, and those that it takes from, have a search leave out. */
  readonly without: readonly LeftOut[];
  /** The points that the standard gives to families of rules; null where it gives none. */
  readonly points: Standard['points'];
  /** What faults cost in a class by the standard; null without one. */
  readonly grading: Standard['grading'] | null;
  /** What of a submission is marked when a class is graded; null where no standard says. */
  readonly submissions: SubmissionRules | null;
  /** The model that a class rigs, by the standard; null for none. */
  readonly model: Standard['model'];
  /** The standards of the folders of assets; null where one that is named, or none, holds for all. */
  readonly lines: StandardLines | null;
  readonly known: KnownRules;
}

/** What the chosen standard sets of the rules, for those who show it; null for no standard. */
export function setRules({ standard, above, settings }: ChosenSettings): SetRules | null {
  return standard === null
    ? null
    : { standard, above, limits: settings.limits, levels: settings.levels };
}

/** A file of the house: its absolute path, and the one that the user knows it by. */
interface HouseFile {
  readonly path: string;
  readonly shown: string;
}

/** A file of the house that an option names, or that lies in a folder from `cwd` up; null for none. */
export function locate(
  named: string | boolean | undefined,
  find: (folder: string) => string | null,
  cwd: string,
): HouseFile | null {
  if (typeof named === 'string') return { path: resolve(cwd, named), shown: named };
  const path = named === false ? null : find(cwd);
  return path === null ? null : { path, shown: slashes(relative(cwd, path)) };
}

/** How a run compares assets with approved ones. */
export interface Comparison {
  /** Digest of what they have to fit, where it is known already. */
  readonly compared?: string | null;
  /** Whether nothing else is asked. */
  readonly onlyFit?: boolean;
  /** Whether an option names an approved asset. */
  readonly approvedNamed?: boolean;
}

/** The standard named or found, changed by the options. Throws UsageError. */
export async function chooseSettings(
  flags: SettingsFlags,
  io: Io,
  comparison: Comparison = {},
): Promise<ChosenSettings> {
  const { only = [], skip = [] } = flags;
  const known = await knownRules(flags, io);
  const lines =
    flags.standard === undefined || flags.standard === true
      ? new StandardLines(known.rules, io.cwd)
      : null;
  const { path, standard } = await standardOfRun(flags, known, lines, io);
  await refuseUnknownRules('--only', only, known);
  await refuseUnknownRules('--skip', skip, known);
  const settings = changed(
    standard?.settings ?? defaultSettings(known.rules),
    flags,
    known,
    comparison,
  );
  const { approved = [], points = null, grading = null, shown = null } = standard ?? {};
  const { submissions = null, model = null } = standard ?? {};
  // Where folders have standards of their own, one of those may ask: `findHeldTo` knows them.
  if (lines === null || comparison.onlyFit === true)
    refuseUnasked([{ settings, approved }], shown, flags, comparison);
  const above = standard === null ? [] : namesAbove(standard);
  const without = standard === null ? [] : leftOutBy(standard);
  const said = { settings, approved, points, grading, submissions, model, without };
  return { ...said, standard: shown, above, path, lines, known };
}

/** The standard that is named, else the nearest one from the folder of the run up. Throws UsageError. */
async function standardOfRun(
  { standard: named }: SettingsFlags,
  { rules }: KnownRules,
  lines: StandardLines | null,
  { cwd }: Io,
): Promise<{ readonly path: string | null; readonly standard: Standard | null }> {
  if (typeof named === 'string') {
    const { readStandard } = await import('../../standard/read-standard.js');
    const path = resolve(cwd, named);
    return { path, standard: readStandard(path, named, rules) };
  }
  const path = lines?.nearest(cwd) ?? null;
  return { path, standard: path === null || lines === null ? null : await lines.read(path) };
}

/** What another standard than that of the run says of some of its assets: changed by the same options. */
export function changedAlike(
  { settings }: Standard,
  flags: SettingsFlags,
  { known }: Pick<ChosenSettings, 'known'>,
): Settings {
  return changed(settings, flags, known);
}

/** Settings with only the rules that the options leave, and what else these say. Throws UsageError. */
function changed(
  base: Settings,
  { only, skip = [], motion, failing }: SettingsFlags,
  { rules, own }: KnownRules,
  { compared = null, onlyFit = false }: Comparison = {},
): Settings {
  const asked = onlyFit ? rules.filter((rule) => rule.onApproved) : rules;
  const chosen = asked.filter(
    (rule) => (only === undefined || isNamed(rule, only)) && !isNamed(rule, skip),
  );
  if (chosen.length === 0) throw new UsageError(emptyWords(only, skip, onlyFit));
  const isRequested = chosen.some((rule) => rule.onRequest && isNamed(rule, only ?? []));
  return {
    ...base,
    rules: chosen,
    compared,
    motion: base.motion || isRequested || motion === true,
    failing: failing ?? base.failing,
    ...(own && { own }),
  };
}

/** Which of the options leaves no rule to run, and what to do. */
function emptyWords(
  only: readonly string[] | undefined,
  skip: readonly string[],
  onlyFit: boolean,
): string {
  const where = onlyFit ? 'a comparison runs the rules about the approved rig, of which ' : '';
  if (only === undefined) return `${where}--skip leaves no rule to run; skip fewer`;
  if (skip.length === 0) return `${where}--only leaves no rule to run; name others with it`;
  return `${where}--only and --skip together leave no rule to run; change one of them`;
}

/**
 * Refuses a run whose rules are all about what nothing asks for: it would find all sound. Throws UsageError.
 *
 * @param held What its assets are held to.
 * @param standard The standard of the run.
 */
export function refuseUnasked(
  held: readonly Pick<ChosenSettings, 'settings' | 'approved'>[],
  standard: string | null,
  { only }: SettingsFlags,
  { compared = null, approvedNamed = compared !== null }: Comparison,
): void {
  const chosen = held[0]?.settings.rules ?? [];
  const isApproved = approvedNamed || held.some(({ approved }) => approved.length > 0);
  if (!isApproved && chosen.every((rule) => rule.onApproved))
    throw new UsageError(
      `${only?.join(', ')} needs an approved rig: use "trysquare compare APPROVED CANDIDATE", or name approved rigs in a standard`,
    );
  if (!held.some(({ settings }) => chosen.some((rule) => rule.isAsked(settings.wanted))))
    throw new UsageError(
      `no standard asks for the rules that --only leaves (${chosen.map(({ id }) => id).join(', ')}); write what you ask for under "contract" in ${standard === null ? 'a standard' : `the standard ${standard}`}`,
    );
}
