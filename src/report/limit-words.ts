import type { Level } from '../kit/finding.js';
import type { LimitSpec, Rule } from '../kit/rule.js';
import { unitAfter } from './finding-words.js';

/** What a standard sets of the rules. */
export interface SetRules {
  /** What the standard is called, and what those above it. */
  readonly standard: string;
  readonly above: readonly string[];
  /** By rule and limit name. */
  readonly limits: ReadonlyMap<string, Readonly<Record<string, number>>>;
  /** The level of all findings of a rule; `none` switches it off. */
  readonly levels: ReadonlyMap<string, Level | 'none'>;
}

/** One limit of a rule where it is shown. */
export interface ShownLimit {
  readonly name: string;
  readonly spec: LimitSpec;
  /** In the unit of `spec`. */
  readonly value: number;
  /** The standard that sets it otherwise than the default; null for the default. */
  readonly by: string | null;
}

/** The limits of a rule as a standard has them; null for no standard. */
export function shownLimits(rule: Rule, set: SetRules | null): ShownLimit[] {
  const own = set?.limits.get(rule.id) ?? {};
  return Object.entries(rule.limits).map(([name, spec]) => {
    const value = own[name] ?? spec.default;
    return { name, spec, value, by: value === spec.default ? null : (set?.standard ?? null) };
  });
}

/** Such as `5°`, `2 % of bone` or `4 joints`. */
export function limitWords({ unit }: LimitSpec, value: number): string {
  return unit === 'degrees' ? `${value}°` : `${value} ${unitAfter(value, unit)}`;
}

/** ` by the standard house.json (default 5°)`; nothing for the default itself. */
export function byWords({ spec, by }: ShownLimit): string {
  return by === null ? '' : ` by the standard ${by} (default ${limitWords(spec, spec.default)})`;
}
