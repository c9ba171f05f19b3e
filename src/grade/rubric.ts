import type { Level } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import { DEFAULT_POINTS } from '../standard/standard-schema.js';
import { type Tenths, toTenths } from './tenths.js';

/** What a class is graded by: families that points can be earned in, in rule order, and their sum. */
export interface Rubric {
  readonly families: readonly FamilyWorth[];
  readonly whole: Tenths;
}

export interface FamilyWorth {
  readonly family: string;
  readonly worth: Tenths;
}

/**
 * How much a rule counts among the others of its family, by its level (common practice). A rule's
 * level is its most serious one, or what the standard says, whatever a single finding of it has.
 */
export const WEIGHTS: Readonly<Record<Level, number>> = { error: 3, warning: 2, note: 1 };

/** The rubric of some rules by a standard's points; families that it leaves out are worth nothing. */
export function rubricOf(
  points: Readonly<Record<string, number>> | null,
  rules: readonly Rule[],
): Rubric {
  const given = points ?? DEFAULT_POINTS;
  const families = [...new Set(rules.map((rule) => rule.family))].flatMap((family) => {
    const worth = toTenths(given[family] ?? 0);
    return worth > 0 ? [{ family, worth }] : [];
  });
  return { families, whole: families.reduce((sum, { worth }) => sum + worth, 0) };
}
