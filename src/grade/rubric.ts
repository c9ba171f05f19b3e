import type { Rule } from '../kit/rule.js';
import { DEFAULT_GRADING, type Grading, gradingFrom } from '../standard/grading.js';
import { DEFAULT_POINTS, POINTS_WITH_MODEL } from '../standard/standard-schema.js';
import { shareOf, type Tenths, toTenths } from './tenths.js';

/** What a class is graded by: families that points can be earned in, in rule order, and their sum. */
export interface Rubric {
  readonly families: readonly FamilyWorth[];
  readonly whole: Tenths;
  /** What faults cost of the points of a family. */
  readonly grading: Grading;
}

export interface FamilyWorth {
  readonly family: string;
  readonly worth: Tenths;
}

/** The defaults, which have nothing wrong in them. */
const DEFAULTS = gradingFrom(DEFAULT_GRADING, (_, message) => {
  throw new Error(message);
});

/**
 * The rubric of some rules by a standard's points; families that it leaves out are worth nothing.
 *
 * @param hasModel Whether the class has a model, which gets points where the standard gives none.
 */
export function rubricOf(
  points: Readonly<Record<string, number>> | null,
  rules: readonly Rule[],
  grading: Grading = DEFAULTS,
  hasModel = false,
): Rubric {
  const given = points ?? (hasModel ? POINTS_WITH_MODEL : DEFAULT_POINTS);
  const families = [...new Set(rules.map((rule) => rule.family))].flatMap((family) => {
    const worth = toTenths(given[family] ?? 0);
    return worth > 0 ? [{ family, worth }] : [];
  });
  return { families, whole: families.reduce((sum, { worth }) => sum + worth, 0), grading };
}

/** The most points that a rig with findings of a rule can get. */
export function mostOf(
  rule: string,
  { whole, grading }: Pick<Rubric, 'whole' | 'grading'>,
): Tenths {
  return shareOf(whole, grading.most[rule]?.value ?? 1);
}

/** The most points that an unsound rig can get. */
export function mostUnsound({ whole, grading }: Pick<Rubric, 'whole' | 'grading'>): Tenths {
  return shareOf(whole, grading.unsound.value);
}
