import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { UsageError } from '../../src/asset/errors.js';
import { gradeOf, gradeText, leastOf, stepWords } from '../../src/grade/grade-of.js';
import { writeGradebook } from '../../src/grade/gradebook.js';
import { mostUnsound, rubricOf } from '../../src/grade/rubric.js';
import { showTenths } from '../../src/grade/tenths.js';
import { DEFAULT_GRADES, type GradeStep } from '../../src/standard/grade-steps.js';
import { parseStandard } from '../../src/standard/read-standard.js';

/** Where a grade stands, the best first; -1 for none. */
const indexIn = (steps: readonly GradeStep[], step: GradeStep | null): number =>
  step === null ? -1 : steps.indexOf(step);

const written = (grades: unknown): string => JSON.stringify({ grading: { grades } });
const read = (grades: unknown) =>
  parseStandard(written(grades), 'class.json', rules).grading.grades;

describe('the grades of a standard', () => {
  it('are four where it gives none, and may be any text', () => {
    expect(parseStandard('{}', 'class.json', rules).grading.grades).toEqual(DEFAULT_GRADES);
    const own = [
      { name: 'very good', from: 87.5 },
      { name: '=1+2', from: 50 },
      { name: '6', from: 0 },
    ];
    expect(read(own)).toEqual(own);
    expect(read([{ name: ' passed ', from: 0 }])).toEqual([{ name: 'passed', from: 0 }]);
    expect(read([])).toEqual([]);
  });

  it('are taken as a whole from the nearest standard that has some', () => {
    const above = parseStandard(written([{ name: 'passed', from: 0 }]), 'above.json', rules);
    const near = (text: string) => parseStandard(text, 'near.json', rules, '/', () => above);
    expect(near('{}').grading.grades).toEqual([{ name: 'passed', from: 0 }]);
    expect(near(written([])).grading.grades).toEqual([]);
    expect(near(written([{ name: '1', from: 0 }])).grading.grades).toEqual([
      { name: '1', from: 0 },
    ]);
  });

  const step = (name: unknown, from: unknown) => ({ name, from });
  it.each([
    [
      [step('A', 50), step('B', 50), step('C', 0)],
      'is 50, after a grade from 50 on; write the grades in order',
    ],
    [[step('A', 50), step('B', 60), step('C', 0)], 'is 60, after a grade from 50 on'],
    [
      [step('A', 50), step(' a', 0)],
      'is "a", and there is a grade "A" already; give each grade a name of its own',
    ],
    [
      [step('A', 50)],
      '"from" is 50, so that fewer points would have no grade; let the last grade be from 0',
    ],
    [[step('A', 101), step('B', 0)], '"from" must not be above 100'],
    [[step('A', -1)], '"from" must not be below 0'],
    [[step('A', '80')], '"from" must be a number'],
    [[step('', 0)], '"name" is empty; write a name'],
    [[step('  ', 0)], '"name" is empty; write what the grade is called'],
    [[step(1, 0)], '"name" must be text in quotes'],
    [[step('x'.repeat(41), 0)], 'is longer than 40 letters'],
    [[{ name: 'A' }], 'lacks "from"; add it'],
    [[{ name: 'A', form: 0 }], 'has no key "form". Did you mean "from"?'],
    [Array.from({ length: 101 }, () => step('A', 0)), 'has more than 100 entries; remove some'],
    [{ A: 0 }, '"grading" > "grades" must be a list in brackets'],
  ])('that read %j are refused with a line and what is wrong', (grades, message) => {
    expect(() => read(grades)).toThrow(UsageError);
    expect(() => read(grades)).toThrow(message);
    expect(() => read(grades)).toThrow('the standard class.json is wrong at line 1, column ');
  });
});

it.each([
  ['A+', 'A+'],
  ['1,3', '1,3'],
  ['very good', 'very good'],
  ['level 3', 'level 3'],
  ['<b>A</b>', '`<b>A</b>`'],
  ['@all', '`@all`'],
  ['#12', '`#12`'],
  ['two **stars**', '`two **stars**`'],
  ['a`b', '``a`b``'],
])('a grade called %j is %j in Markdown', (name, text) => {
  expect(gradeText(name)).toBe(text);
});

describe('the grade of some points', () => {
  const rubric = rubricOf(null, rules);
  const named = (tenths: number | null) => gradeOf(tenths, rubric)?.name ?? null;

  it('changes at the points as they are printed', () => {
    expect([1000, 999, 500, 499, 250, 249, 0].map(named)).toEqual([
      'A',
      'B',
      'B',
      'C',
      'C',
      'D',
      'D',
    ]);
    expect(named(null)).toBeNull();
    expect(stepWords(DEFAULT_GRADES, rubric.whole, String)).toBe(
      'A from 100 points, B from 50, C from 25, D from 0',
    );
  });

  const grades: fc.Arbitrary<GradeStep[]> = fc
    .uniqueArray(fc.integer({ min: 1, max: 1000 }), { minLength: 1, maxLength: 12 })
    .map((froms) =>
      [...froms.sort((a, b) => b - a), 0].map((from, at) => ({ name: `g${at}`, from: from / 10 })),
    );

  it('is never lower than that of fewer points, and there is one for all points', () => {
    fc.assert(
      fc.property(grades, fc.integer({ min: 1, max: 100_000 }), fc.nat(), (steps, whole, some) => {
        const by = { whole, grading: { ...rubric.grading, grades: steps } };
        const at = (points: number): number => indexIn(steps, gradeOf(points, by));
        const points = some % whole;
        expect(at(whole)).toBe(0);
        expect(at(points)).toBeGreaterThanOrEqual(at(points + 1));
        expect(at(0)).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  // Of every whole that a rubric can have: no points are printed as those of a grade and get a lower one.
  it('is what its words say of the points as they are printed', () => {
    fc.assert(
      fc.property(grades, fc.integer({ min: 1, max: 100_000 }), (steps, whole) => {
        const by = { whole, grading: { ...rubric.grading, grades: steps } };
        for (const one of steps) {
          const least = leastOf(one, whole);
          const got = gradeOf(least, by);
          expect(indexIn(steps, got)).toBeLessThanOrEqual(steps.indexOf(one));
          expect(stepWords([one], whole, String)).toContain(
            `from ${Number(showTenths(least))} points`,
          );
          if (least > 0 && got === one)
            expect(indexIn(steps, gradeOf(least - 1, by))).toBeGreaterThan(steps.indexOf(one));
        }
      }),
    );
  });

  it('is the second for the best unsound rig, whatever the whole is', () => {
    for (let whole = 1; whole <= 3000; whole++) {
      const by = { ...rubric, whole };
      const most = mostUnsound(by);
      if (most < whole) expect([whole, gradeOf(most, by)?.name]).toEqual([whole, 'B']);
    }
  });
});

it('a class without grades has the gradebook that it had before there were any', () => {
  const without = rubricOf(null, rules, { ...rubricOf(null, rules).grading, grades: [] });
  const header = (rubric: typeof without) =>
    writeGradebook([], rubric, new Map()).trim().split(',');
  expect(header(rubricOf(null, rules))).toEqual([...header(without), '"grade"']);
  expect(gradeOf(1000, without)).toBeNull();
});
