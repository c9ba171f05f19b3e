import { describe, expect, it } from 'vitest';
import { DEFAULT_GRADING } from '../../src/standard/grading.js';
import { readShare } from '../../src/standard/share.js';
import { cellsOf } from '../report/markdown-reader.js';
import { GRADED_RIGS } from '../support/docs/graded-rigs.js';
import { readPage } from '../support/docs/read-page.js';

// The page is held to what is made of the rigs now by pages.test.ts.
const table = /<!-- made: grades -->([\s\S]*?)<!-- end -->/.exec(readPage('docs/grading.md'))?.[1];
const rows = cellsOf(table ?? '')
  .slice(1)
  .map(([wrong = '', verdict, , points]) => ({ wrong, verdict, points: Number(points) }));

describe('twenty made-up rigs in the order that a teacher would give them', () => {
  it('are all in the table', () => {
    expect([rows.length, GRADED_RIGS.length]).toEqual([20, 20]);
    expect(rows.every(({ points }) => points >= 0 && points <= 100)).toBe(true);
  });

  it('get points in that order, but for ties', () => {
    const points = rows.map((row) => row.points);
    expect(points).toEqual([...points].sort((a, b) => b - a));
    expect(new Set(points).size).toBeGreaterThan(12);
  });

  it('pass the cap only if they are sound', () => {
    const most = 100 * (readShare(DEFAULT_GRADING.unsound)?.value ?? 0);
    for (const { wrong, verdict, points } of rows)
      expect([wrong, points > most]).toEqual([wrong, verdict === 'sound']);
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

  it('a flipped shin costs a third of all, and is well over a wreck', () => {
    const shin = rows.find(({ wrong }) => wrong === 'The left shin is flipped by 180°');
    expect(shin?.points).toBeLessThan(70);
    expect((shin?.points ?? 0) - (rows.at(-1)?.points ?? 0)).toBeGreaterThan(20);
  });
});
