import { dirname, relative, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { defaultSettings, type Settings } from '../../check/settings.js';
import type { Level } from '../../kit/finding.js';
import { visible } from '../../report/visible.js';
import type { ApprovedPattern } from '../../standard/approved-patterns.js';
import { findStandard } from '../../standard/find-standard.js';
import type { Standard } from '../../standard/read-standard.js';
import type { Io } from '../io.js';
import type { LeftOut } from '../paths/left-out.js';
import { type KnownRules, knownRules, type OwnFlags } from './own-rules.js';
import { isNamed, refuseUnknownRules } from './rule-names.js';

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
  /** Which assets have to fit which approved one, by the standard. */
  readonly approved: readonly ApprovedPattern[];
  /** The same as an absolute path. */
  readonly path: string | null;
  /** What the standard has a search leave out. */
  readonly without: LeftOut | null;
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
  return path === null ? null : { path, shown: relative(cwd, path) };
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
  const file = locate(flags.standard, findStandard, io.cwd);
  const standard = file === null ? null : await read(file, known);
  await refuseUnknownRules('--only', only, known);
  await refuseUnknownRules('--skip', skip, known);
  const settings = changed(
    standard?.settings ?? defaultSettings(known.rules),
    flags,
    known,
    comparison,
  );
  const approved = standard?.approved ?? [];
  refuseUnasked(settings, { ...comparison, approved, standard: file?.shown ?? null, flags });
  const patterns = standard?.without ?? [];
  const without = file !== null &&
    patterns.length > 0 && {
      patterns,
      folder: dirname(file.path),
      by: `the standard ${visible(file.shown)}`,
    };
  const { shown = null, path = null } = file ?? {};
  return { settings, standard: shown, path, approved, without: without || null };
}

/** What another standard says of some assets of a run: changed by the same options. Throws UsageError. */
export async function readChosen(
  file: HouseFile,
  flags: SettingsFlags,
  io: Io,
): Promise<Pick<ChosenSettings, 'settings' | 'approved'>> {
  const known = await knownRules(flags, io);
  const { settings, approved } = await read(file, known);
  return { settings: changed(settings, flags, known), approved };
}

async function read({ path, shown }: HouseFile, { rules }: KnownRules): Promise<Standard> {
  const { readStandard } = await import('../../standard/read-standard.js');
  return readStandard(path, shown, rules);
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
  if (chosen.length === 0)
    throw new UsageError('--only and --skip together leave no rule to run; change one of them');
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

/** Refuses a run whose rules are all about what nothing asks for: it would find all sound. Throws UsageError. */
function refuseUnasked(
  { rules: chosen, wanted }: Settings,
  {
    approved,
    standard,
    flags: { only },
    compared = null,
    approvedNamed = compared !== null,
  }: Comparison & Pick<ChosenSettings, 'approved' | 'standard'> & { readonly flags: SettingsFlags },
): void {
  if (!approvedNamed && approved.length === 0 && chosen.every((rule) => rule.onApproved))
    throw new UsageError(
      `${only?.join(', ')} needs an approved rig: use "trysquare compare APPROVED CANDIDATE", or name approved rigs in a standard`,
    );
  if (!chosen.some((rule) => rule.isAsked(wanted)))
    throw new UsageError(
      `no standard asks for the rules that --only leaves (${chosen.map(({ id }) => id).join(', ')}); write what you ask for under "contract" in ${standard === null ? 'a standard' : `the standard ${standard}`}`,
    );
}
