import { dirname, relative, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { defaultSettings, type Settings } from '../../check/settings.js';
import type { Level } from '../../kit/finding.js';
import { visible } from '../../report/visible.js';
import type { ApprovedPattern } from '../../standard/approved-patterns.js';
import { findStandard } from '../../standard/find-standard.js';
import type { Io } from '../io.js';
import type { LeftOut } from '../paths/left-out.js';
import { knownRules, type OwnFlags } from './own-rules.js';
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
  /** What the standard has a search leave out. */
  readonly without: LeftOut | null;
}

/** A file of the house that an option names, or that lies in a folder from `cwd` up; null for none. */
export function locate(
  named: string | boolean | undefined,
  find: (folder: string) => string | null,
  cwd: string,
): { readonly path: string; readonly shown: string } | null {
  if (typeof named === 'string') return { path: resolve(cwd, named), shown: named };
  const path = named === false ? null : find(cwd);
  return path === null ? null : { path, shown: relative(cwd, path) };
}

/** How a run compares assets with approved ones. */
interface Comparison {
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
  { compared = null, onlyFit = false, approvedNamed = compared !== null }: Comparison = {},
): Promise<ChosenSettings> {
  const { only, skip = [] } = flags;
  const known = await knownRules(flags, io);
  const { rules, own } = known;
  let base = defaultSettings(rules);
  let without: LeftOut | null = null;
  const file = locate(flags.standard, findStandard, io.cwd);
  let approved: readonly ApprovedPattern[] = [];
  if (file !== null) {
    const { readStandard } = await import('../../standard/read-standard.js');
    const read = readStandard(file.path, file.shown, rules);
    base = read.settings;
    approved = read.approved;
    const { without: patterns } = read;
    if (patterns.length > 0)
      without = { patterns, folder: dirname(file.path), by: `the standard ${visible(file.shown)}` };
  }
  await refuseUnknownRules('--only', only ?? [], known);
  await refuseUnknownRules('--skip', skip, known);
  const asked = onlyFit ? rules.filter((rule) => rule.onApproved) : rules;
  const chosen = asked.filter(
    (rule) => (only === undefined || isNamed(rule, only)) && !isNamed(rule, skip),
  );
  if (chosen.length === 0)
    throw new UsageError('--only and --skip together leave no rule to run; change one of them');
  if (!approvedNamed && approved.length === 0 && chosen.every((rule) => rule.onApproved))
    throw new UsageError(
      `${only?.join(', ')} needs an approved rig: use "trysquare compare APPROVED CANDIDATE", or name approved rigs in a standard`,
    );
  if (!chosen.some((rule) => rule.isAsked(base.wanted)))
    throw new UsageError(
      `no standard asks for the rules that --only leaves (${chosen.map(({ id }) => id).join(', ')}); write what you ask for under "contract" in ${file === null ? 'a standard' : `the standard ${file.shown}`}`,
    );
  const isRequested = chosen.some((rule) => rule.onRequest && isNamed(rule, only ?? []));
  const settings = {
    ...base,
    rules: chosen,
    compared,
    motion: base.motion || isRequested || flags.motion === true,
    failing: flags.failing ?? base.failing,
    ...(own && { own }),
  };
  return { settings, standard: file?.shown ?? null, approved, without };
}
