import { beforeAll, describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { fixesOf } from '../../src/grade/fixes.js';
import { gradeWords } from '../../src/grade/next-grade.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { type Marked, markSubmission } from '../../src/grade/submission.js';
import type { GradeStep } from '../../src/standard/grade-steps.js';
import { GRADED_RIGS, gradeRig } from '../support/docs/graded-rigs.js';

// As grading does it: every joint is bent, too.
const settings = { ...defaultSettings(rules), motion: true };
const rubric = rubricOf(null, rules);
const SHIN = 'the left shin is flipped by 180°';
const THIGHS = 'both thighs hang on the ground root';
const FOOT = 'no joint moves the skin of the left foot';
const ROLLED = 'the neck is rolled by 12°';

/** A rig of the table that has these faults and no other, marked. */
async function marked(...wrong: string[]): Promise<Marked> {
  const rig = GRADED_RIGS.find(
    ({ puppet, faults }) =>
      puppet === 'marionette' && faults.map(({ tells }) => tells).join('; ') === wrong.join('; '),
  );
  if (rig === undefined) throw new Error(`no rig of the table has ${wrong.join('; ')}`);
  const { report } = await gradeRig(rig);
  return markSubmission('a', [report], null, rubric, settings);
}

const words = (one: Marked, by = rubric): string =>
  gradeWords(one, fixesOf(one.assets, one.grade, settings), by, settings);

const withSteps = (grades: readonly GradeStep[]) =>
  rubricOf(null, rules, { ...rubric.grading, grades });

describe('what leads to a better grade', () => {
  let [three, two, neck]: Marked[] = [];
  beforeAll(async () => {
    [three, two, neck] = await Promise.all([
      marked(SHIN, THIGHS, FOOT),
      marked(SHIN, THIGHS),
      marked(ROLLED),
    ]);
  });

  it('is the first of the list, with the points that a rig without it does get', () => {
    if (three === undefined || two === undefined) throw new Error('both are marked');
    const [first] = fixesOf(three.assets, three.grade, settings);
    // The skin is mended first; what is left are shin and thighs, and that rig is in the table.
    expect(first?.rule.family).toBe('skin');
    const steps = withSteps([
      { name: 'A', from: 100 },
      { name: 'B', from: 60 },
      { name: 'C', from: 0 },
    ]);
    expect(words(three, steps)).toBe(
      `Grades: A from 100 points, B from 60, C from 0. Mend \`${first?.rule.id}\` for grade B (${((two.grade?.scaled ?? 0) / 10).toFixed(1)} points, if nothing new is found).`,
    );
  });

  it('is all points where the last fault is mended, and nothing where there is nothing better', () => {
    if (neck === undefined) throw new Error('it is marked');
    expect(words(neck)).toMatch(
      / Mend `axis\.up` for grade A \(100\.0 points, if nothing new is found\)\.$/,
    );
    const passed = withSteps([{ name: 'passed', from: 0 }]);
    expect(words(neck, passed)).toBe('Grades: passed from 0 points.');
    expect(words(neck, withSteps([]))).toBe('');
    expect(words({ ...neck, grade: null })).toBe('');
  });

  it('is told with the grade that was reached and the next one alone where there are many', () => {
    if (neck === undefined) throw new Error('it is marked');
    const many = Array.from({ length: 11 }, (_, at) => ({
      name: `step ${at}`,
      from: 100 - 10 * at,
    }));
    expect(words(neck, withSteps(many))).toBe(
      'Grades here: step 0 from 100 points, step 1 from 90. Mend `axis.up` for grade step 0 (100.0 points, if nothing new is found).',
    );
  });
});
