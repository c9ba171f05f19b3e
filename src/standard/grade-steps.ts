import type { JsonSchema } from '../house/schema-line.js';

/** One step of the grades that a class is given, and from how many percent of all points it is. */
export interface GradeStep {
  readonly name: string;
  readonly from: number;
}

/**
 * The grades where a standard gives none (common practice): nothing that costs a point; half of the points,
 * a pass in many courses; a quarter; less. They are broad on purpose. Teachers who order the same rigs agree
 * on what is without a fault and on what is not half done, and differ in between by as much as points do.
 */
export const DEFAULT_GRADES: readonly GradeStep[] = [
  { name: 'A', from: 100 },
  { name: 'B', from: 50 },
  { name: 'C', from: 25 },
  { name: 'D', from: 0 },
];

/** More steps than points are a slip, and so are longer names: they stand in a column. */
const MOST_STEPS = 100;
export const LONGEST_GRADE = 40;

/** The part of a standard that says which grades there are. */
export const GRADES_SCHEMA: JsonSchema = {
  type: 'array',
  maxItems: MOST_STEPS,
  default: DEFAULT_GRADES,
  description: `The grades that points are given as, the best first, each with the percent of all points that it is from; the last is from 0. An empty list gives no grades. Default ${stepWords()}.`,
  items: {
    type: 'object',
    additionalProperties: false,
    required: ['name', 'from'],
    properties: {
      name: {
        type: 'string',
        minLength: 1,
        maxLength: LONGEST_GRADE,
        description: 'What the grade is called: any text, such as "A", "1" or "very good".',
      },
      from: {
        type: 'number',
        minimum: 0,
        maximum: 100,
        description: 'The least percent of all points that gets it.',
      },
    },
  },
};

function stepWords(): string {
  return DEFAULT_GRADES.map(({ name, from }) => `${name} from ${from}`).join(', ');
}

/**
 * The grades of a standard, blanks round their names left out.
 *
 * @param at Throws a UsageError about what is at a path in the part about grading.
 */
export function gradesFrom(
  written: readonly GradeStep[],
  at: (path: readonly (string | number)[], message: string) => never,
): readonly GradeStep[] {
  const steps = written.map(({ name, from }) => ({ name: name.trim(), from }));
  const names = new Map<string, string>();
  steps.forEach(({ name, from }, index) => {
    if (name === '') at(['grades', index, 'name'], 'is empty; write what the grade is called');
    // A spreadsheet counts "a" and "A" as one.
    const key = name.normalize('NFKC').toLowerCase();
    const twin = names.get(key);
    if (twin !== undefined)
      at(
        ['grades', index, 'name'],
        `is "${name}", and there is a grade "${twin}" already; give each grade a name of its own`,
      );
    names.set(key, name);
    const before = steps[index - 1];
    if (before === undefined && steps.length > 1 && from <= 1)
      at(
        ['grades', index, 'from'],
        `is ${from}; grades are from so many percent of all points on, such as 90`,
      );
    if (before !== undefined && from >= before.from)
      at(
        ['grades', index, 'from'],
        `is ${from}, after a grade from ${before.from} on; write the grades in order, the best first`,
      );
  });
  const last = steps.at(-1);
  if (last !== undefined && last.from > 0)
    at(
      ['grades', steps.length - 1, 'from'],
      `is ${last.from}, so that fewer points would have no grade; let the last grade be from 0`,
    );
  return steps;
}
