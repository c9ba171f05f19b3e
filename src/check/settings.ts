import { sha256 } from '../asset/crypto.js';
import type { Level } from '../kit/finding.js';
import type { LimitOf, Rule } from '../kit/rule.js';
import type { WantedOfRig } from '../measure/facts.js';
import type { OwnRules } from './own-rules.js';

/** What a run judges assets by: the defaults, changed by a standard and the command line. */
export interface Settings {
  /** The rules that are judged. */
  readonly rules: readonly Rule[];
  /** All rules there are: one that is judged may need a limit of one that is not. */
  readonly known: readonly Rule[];
  readonly wanted: WantedOfRig;
  /** Whether to bend the skin in the laboratory, and judge the rules that need it. */
  readonly motion: boolean;
  /** Name of one unit of length. */
  readonly unit: string;
  readonly failing: Level | 'never';
  /** Digest of what assets have to fit; null where they are compared with nothing. */
  readonly compared: string | null;
  /** Level for all findings of a rule; `none` drops them. */
  readonly levels: ReadonlyMap<string, Level | 'none'>;
  /** Limits that differ from the default, by rule and limit name. */
  readonly limits: ReadonlyMap<string, Readonly<Record<string, number>>>;
  /** Which of the rules are the house's own; absent where none are. */
  readonly own?: OwnRules;
  /** Address of the handbook that reports lead to; it decides nothing of what is found. */
  readonly handbook?: string;
}

/** Every rule at its default, conventions read off the rig, errors failing. */
export function defaultSettings(rules: readonly Rule[]): Settings {
  return {
    rules,
    known: rules,
    wanted: { aim: null, up: null },
    motion: false,
    unit: 'm',
    failing: 'error',
    compared: null,
    levels: new Map(),
    limits: new Map(),
  };
}

/**
 * The rules a run judges: those not switched off, the costly ones only on request, those about an
 * approved rig only where there is one, and those of a house's contract only where it asks for them.
 */
export function rulesToRun(
  { rules, levels, motion, compared, wanted }: Settings,
  isCompared = compared !== null,
): Rule[] {
  return rules.filter(
    (rule) =>
      levels.get(rule.id) !== 'none' &&
      (motion || !rule.onRequest) &&
      (isCompared || !rule.onApproved) &&
      rule.isAsked(wanted),
  );
}

/** Rules by their ids, and all that precedence ties to them, in one step or many, but what runs on request. */
export function settledWith(rules: readonly Rule[], ids: readonly string[]): Rule[] {
  const tied = new Set(ids);
  for (let before = -1; before < tied.size; ) {
    before = tied.size;
    for (const rule of rules) {
      const others = rule.yieldsTo.flatMap(({ to }) => to);
      if (!rule.onRequest && others.some((id) => tied.has(id))) tied.add(rule.id);
      if (tied.has(rule.id)) for (const id of others) tied.add(id);
    }
  }
  return rules.filter(({ id }) => tied.has(id));
}

/** The limits of one rule, defaults filled in. */
export function limitsOf(settings: Settings, rule: Rule): Record<string, number> {
  const limits: Record<string, number> = {};
  for (const [name, spec] of Object.entries(rule.limits)) limits[name] = spec.default;
  return Object.assign(limits, settings.limits.get(rule.id));
}

/** Looks up any limit of any rule, judged or not. Throws for a limit that no rule has. */
export function limitsOfAll(settings: Settings): LimitOf {
  const known = new Map<string, Record<string, number>>();
  return (id, limit) => {
    const rule = known.has(id) ? undefined : settings.known.find((other) => other.id === id);
    if (rule !== undefined) known.set(id, limitsOf(settings, rule));
    const value = known.get(id)?.[limit];
    if (value === undefined) throw new Error(`no rule has a limit ${id} ${limit}`);
    return value;
  };
}

/** Settings without the rules' code: what can be sent to a worker, written down and compared. */
export interface PlainSettings
  extends Pick<Settings, 'wanted' | 'motion' | 'unit' | 'failing' | 'compared' | 'own'> {
  /** Ids of the rules, in order. */
  readonly rules: readonly string[];
  readonly levels: readonly (readonly [string, Level | 'none'])[];
  readonly limits: readonly (readonly [string, Readonly<Record<string, number>>])[];
}

export function plainSettings(settings: Settings): PlainSettings {
  const { rules, wanted, motion, unit, failing, compared, levels, limits, own } = settings;
  const ids = rules.map((rule) => rule.id);
  const byRule = sorted(limits).map(
    ([id, values]) => [id, Object.fromEntries(sorted(values))] as const,
  );
  // Their order is part of the digest.
  const plain = {
    rules: ids,
    wanted,
    motion,
    unit,
    failing,
    compared,
    levels: sorted(levels),
    limits: byRule,
  };
  return { ...plain, ...(own && { own }) };
}

/** Turns plain settings back, given every rule there is. */
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
export function settingsDigest({ own, ...plain }: PlainSettings): string {
  // Where a module lies decides nothing, and differs from machine to machine.
  const all = { ...plain, ...(own && { own: own.digest }) };
  return sha256().update(JSON.stringify(all)).digest('hex').slice(0, 32);
}

function sorted<V>(
  values: ReadonlyMap<string, V> | Readonly<Record<string, V>>,
): (readonly [string, V])[] {
  const entries = values instanceof Map ? [...values] : Object.entries(values);
  return entries.sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0));
}
