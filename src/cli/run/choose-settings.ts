import { relative, resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { defaultSettings, type Settings } from '../../check/settings.js';
import type { Level } from '../../kit/finding.js';
import { findStandard } from '../../standard/find-standard.js';
import type { Io } from '../io.js';
import { isNamed, refuseUnknownRules } from './rule-names.js';

/** Options that say what rigs are held to. */
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
}

/** The standard named or found, changed by the options. Throws UsageError. */
export async function chooseSettings(flags: SettingsFlags, io: Io): Promise<ChosenSettings> {
  let base = defaultSettings(rules);
  let standard: string | null = null;
  if (flags.standard !== false) {
    const given =
      typeof flags.standard === 'string' ? resolve(io.cwd, flags.standard) : findStandard(io.cwd);
    if (given !== null) {
      const { readStandard } = await import('../../standard/read-standard.js');
      standard = typeof flags.standard === 'string' ? flags.standard : relative(io.cwd, given);
      base = readStandard(given, standard, rules).settings;
    }
  }
  const chosen = await chooseRules(flags);
  const named = chosen.some((rule) => rule.onRequest && isNamed(rule, flags.only ?? []));
  const settings = {
    ...base,
    rules: chosen,
    motion: base.motion || named || flags.motion === true,
    failing: flags.failing ?? base.failing,
  };
  return { settings, standard };
}

async function chooseRules({ only, skip }: SettingsFlags): Promise<typeof rules> {
  await refuseUnknownRules('--only', only ?? []);
  await refuseUnknownRules('--skip', skip ?? []);
  const chosen = rules.filter(
    (rule) => (only === undefined || isNamed(rule, only)) && !isNamed(rule, skip ?? []),
  );
  if (chosen.length === 0)
    throw new UsageError('--only and --skip together leave no rule to run; change one of them');
  return chosen;
}
