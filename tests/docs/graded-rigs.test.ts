import { describe, expect, it } from 'vitest';
import { DEFAULT_GRADES } from '../../src/standard/grade-steps.js';
import { DEFAULT_GRADING } from '../../src/standard/grading.js';
import { readShare } from '../../src/standard/share.js';
import { cellsOf } from '../report/markdown-reader.js';
import { GRADED_RIGS } from '../support/docs/graded-rigs.js';
import { readPage } from '../support/docs/read-page.js';

// The page is held to what is made of the rigs now by pages.test.ts.
const table = /<!-- made: grades -->([\s\S]*?)<!-- end -->/.exec(readPage('docs/grading.md'))?.[1];
const rows = cellsOf(table ?? '')
  .slice(1)
  .map(([wrong = '', verdict, lost, points, grade]) => ({
    ...{ wrong, verdict, lost, grade },
    points: Number(points),
  }));

describe('twenty made-up rigs in the order that a teacher would give them', () => {
  it('are all in the table', () => {
    expect([rows.length, GRADED_RIGS.length]).toEqual([20, 20]);
    expect(rows.every(({ points }) => points >= 0 && points <= 100)).toBe(true);
  });

  it('get points in that order, but for ties', () => {
    const points = rows.map((row) => row.points);
    expect(points).toEqual([...points].sort((a, b) => b - a));
    expect(new Set(points).size).toBeGreaterThanOrEqual(9);
  });

  it('get grades in that order, each of them, and the best one for nothing that costs a point alone', () => {
    const names = DEFAULT_GRADES.map(({ name }) => name);
    const grades = rows.map(({ grade = '' }) => names.indexOf(grade));
    expect(grades).toEqual([...grades].sort((a, b) => a - b));
    expect(new Set(grades)).toEqual(new Set(names.keys()));
    for (const { grade, lost } of rows)
      expect([lost, grade === 'A']).toEqual([lost, lost === 'nothing']);
  });

  it('pass the cap only if they are sound, and a sound one can still get less', () => {
    const most = 100 * (readShare(DEFAULT_GRADING.unsound)?.value ?? 0);
    const unsound = rows.filter(({ verdict }) => verdict === 'unsound');
    expect(unsound.length).toBeGreaterThan(5);
    expect(Math.max(...unsound.map(({ points }) => points))).toBe(most);
    const sound = rows.filter(({ verdict }) => verdict === 'sound');
    expect(Math.min(...sound.map(({ points }) => points))).toBeLessThan(most);
  });

  it('get less with a fault more, of those that are alike but for that', () => {
    const lists = GRADED_RIGS.map(({ puppet, faults }) => [puppet, new Set(faults)] as const);
    let compared = 0;
    for (const [a, [puppet, few]] of lists.entries())
      for (const [b, [other, many]] of lists.entries()) {
        if (puppet !== other || few.size >= many.size || ![...few].every((one) => many.has(one)))
          continue;
        compared++;
        expect(rows[b]?.points).toBeLessThanOrEqual(rows[a]?.points ?? 0);
      }
    expect(compared).toBeGreaterThan(20);
  });

  it('one topic with an error costs less than two, and two less than three', () => {
    const pointsOf = (...parts: string[]): number =>
      rows.find(({ wrong }) => wrong.toLowerCase() === parts.join('; '))?.points ?? Number.NaN;
    const [shin, thighs] = [
      'the left shin is flipped by 180°',
      'both thighs hang on the ground root',
    ];
    const foot = 'no joint moves the skin of the left foot';
    const points = [pointsOf(shin), pointsOf(shin, thighs), pointsOf(shin, thighs, foot)];
    for (const [at, more] of points.slice(1).entries())
      expect((points[at] ?? Number.NaN) - more).toBeGreaterThanOrEqual(10);
  });

  it('what collapses when it bends costs as an error does, and weights that are soon normalised do not', () => {
    const find = (part: string) => rows.find(({ wrong }) => wrong === part);
    const [knees, weights] = [
      find('Both knees stand before the legs'),
      find('The weights of three vertices sum to 0.92'),
    ];
    expect([knees?.verdict, knees?.lost]).toEqual(['sound', 'place 5, motion 5']);
    expect([weights?.verdict, weights?.lost]).toEqual(['unsound', 'skin 7.5, unsound 2.5']);
  });
});
