import { codeName } from '../report/markdown-text.js';
import type { GradeStep } from '../standard/grade-steps.js';
import type { Rubric } from './rubric.js';
import { shareOf, showTenths, showWorth, type Tenths } from './tenths.js';

type Steps = Pick<Rubric, 'whole' | 'grading'>;

/** The grade of some points as they are shown; null where there are none, or the class has no grades. */
export function gradeOf(points: Tenths | null, { whole, grading }: Steps): GradeStep | null {
  if (points === null) return null;
  return grading.grades.find((step) => points >= leastOf(step, whole)) ?? null;
}

/**
 * The least points that get a grade. Rounded down as the most of an unsound rig is, so that both say the
 * same of the same share.
 */
export function leastOf({ from }: GradeStep, whole: Tenths): Tenths {
  return shareOf(whole, from / 100);
}

/** `A from 100 points, B from 70, C from 50, D from 0`, of some grades; names as `shown` has them. */
export function stepWords(
  steps: readonly GradeStep[],
  whole: Tenths,
  shown: (name: string) => string,
): string {
  const words = steps.map(
    (step, at) =>
      `${shown(step.name)} from ${showWorth(leastOf(step, whole))}${at === 0 ? ' points' : ''}`,
  );
  return words.join(', ');
}

/**
 * What grades are mostly called (`A+`, `1,3`, `very good`): no reader of Markdown takes it for anything
 * else inside a line.
 */
const PLAIN =
  /^(?:[\p{L}\p{N}]{1,3}(?:[.,]\d{1,2})?[+-]?|\p{L}[\p{L}\p{M}]*(?: (?:\p{L}[\p{L}\p{M}]*|\d{1,3}))*)$/u;

/** The name of a grade as Markdown. */
export function gradeText(name: string): string {
  return PLAIN.test(name) ? name : codeName(name);
}

/** `80.0 of 100 points, grade B`. */
export function markWords(
  points: Tenths,
  rubric: Steps,
  shown: (name: string) => string = gradeText,
): string {
  const step = gradeOf(points, rubric);
  const grade = step === null ? '' : `, grade ${shown(step.name)}`;
  return `${showTenths(points)} of ${showWorth(rubric.whole)} points${grade}`;
}
