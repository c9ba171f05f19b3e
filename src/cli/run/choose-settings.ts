import { dirname, relative, resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { defaultSettings, type Settings } from '../../check/settings.js';
import type { Level } from '../../kit/finding.js';
import { visible } from '../../report/visible.js';
import { findStandard } from '../../standard/find-standard.js';
import type { Standard } from '../../standard/read-standard.js';
import type { Io } from '../io.js';
import type { LeftOut } from '../paths/left-out.js';
import { isNamed, refuseUnknownRules } from './rule-names.js';

/** Options that choose the standard, the rules and the failing level. */
export interface SettingsFlags {
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

/** The standard named or found, changed by the options. Throws UsageError. */
export async function chooseSettings(flags: SettingsFlags, io: Io): Promise<ChosenSettings> {
  const { only = [], skip = [] } = flags;
  const file = locate(flags.standard, findStandard, io.cwd);
  const standard = file === null ? null : await read(file);
  await refuseUnknownRules('--only', only);
  await refuseUnknownRules('--skip', skip);
  const settings = changed(standard?.settings ?? defaultSettings(rules), flags);
  const patterns = standard?.without ?? [];
  const without = file !== null &&
    patterns.length > 0 && {
      patterns,
      folder: dirname(file.path),
      by: `the standard ${visible(file.shown)}`,
    };
  const { shown = null, path = null } = file ?? {};
  return { settings, standard: shown, path, without: without || null };
}

/** The settings of another standard, for some assets of a run: changed by the same options. Throws UsageError. */
export async function readChosen(file: HouseFile, flags: SettingsFlags): Promise<Settings> {
  return changed((await read(file)).settings, flags);
}

async function read({ path, shown }: HouseFile): Promise<Standard> {
  const { readStandard } = await import('../../standard/read-standard.js');
  return readStandard(path, shown, rules);
}

/** Settings with only the rules that the options leave, and what else these say. Throws UsageError. */
function changed(base: Settings, { only, skip = [], motion, failing }: SettingsFlags): Settings {
  const chosen = rules.filter(
    (rule) => (only === undefined || isNamed(rule, only)) && !isNamed(rule, skip),
  );
  if (chosen.length === 0)
    throw new UsageError('--only and --skip together leave no rule to run; change one of them');
  const isRequested = chosen.some((rule) => rule.onRequest && isNamed(rule, only ?? []));
  return {
    ...base,
    rules: chosen,
    motion: base.motion || isRequested || motion === true,
    failing: failing ?? base.failing,
  };
}
