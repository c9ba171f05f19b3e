import { createHash } from 'node:crypto';
import type { Level } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import type { Settings } from './settings.js';

/** Settings without the rules' code: what can be sent to a worker, written down and compared. */
export interface PlainSettings extends Pick<Settings, 'wanted' | 'motion' | 'unit' | 'failing'> {
  /** Ids of the rules, in order. */
  readonly rules: readonly string[];
  readonly levels: readonly (readonly [string, Level | 'none'])[];
  readonly limits: readonly (readonly [string, Readonly<Record<string, number>>])[];
}

export function plainSettings(settings: Settings): PlainSettings {
  const { rules, wanted, motion, unit, failing, levels, limits } = settings;
  return {
    rules: rules.map((rule) => rule.id),
    wanted,
    motion,
    unit,
    failing,
    levels: sorted(levels),
    limits: sorted(limits).map(([id, values]) => [id, Object.fromEntries(sorted(values))] as const),
  };
}

/** The way back, given every rule there is. */
export function settingsFromPlain(plain: PlainSettings, rules: readonly Rule[]): Settings {
  const wanted = new Set(plain.rules);
  return {
    ...plain,
    rules: rules.filter((rule) => wanted.has(rule.id)),
    known: rules,
    levels: new Map(plain.levels),
    limits: new Map(plain.limits),
  };
}

/** A digest of all that decides what is found: equal for equal settings, in hexadecimal. */
export function settingsDigest(plain: PlainSettings): string {
  return createHash('sha256').update(JSON.stringify(plain)).digest('hex').slice(0, 32);
}

function sorted<V>(
  values: ReadonlyMap<string, V> | Readonly<Record<string, V>>,
): (readonly [string, V])[] {
  const entries = values instanceof Map ? [...values] : Object.entries(values);
  return entries.sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0));
}
