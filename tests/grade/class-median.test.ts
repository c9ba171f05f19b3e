import { describe, expect, it } from 'vitest';
import type { ClassCard } from '../../src/page/class/class-data.js';
import { writeClassPage } from '../../src/page/class/class-html.js';

type Points = number | null;

/** The median as the page of a class tells it, of points before and now, and those of who is missing now. */
function medianOf(marks: readonly (readonly [before: Points, now: Points])[], missing: number[]) {
  const cards = marks.map(
    ([before, points], at): ClassCard => ({
      ...{ name: `submission-0${at + 1}`, verdict: 'sound', points, before: [before] },
      ...{ counts: { error: 0, warning: 0, note: 0 }, change: null, grade: null },
      ...{ gradeBefore: null, first: null, look: [], drawing: '', feedback: 'a.md', pages: [] },
    }),
  );
  const known = (points: readonly Points[]): number[] => points.flatMap((mark) => mark ?? []);
  const handIns = [
    known([...marks.map(([before]) => before), ...missing]),
    known(marks.map(([, now]) => now)),
  ];
  const page = writeClassPage({ outOf: 100, cards, faults: [], handIns, grades: [], tool: 'it' });
  const [, told = ''] = /<dt>Median<\/dt><dd>(.*?)<\/dd>/.exec(page) ?? [];
  return told.replace(/<[^>]*>/g, '').replace('\u2212', '-');
}

describe('the change of the median of a class', () => {
  it('is of all where all handed in both times', () => {
    const marks = [
      [50, 60],
      [70, 90],
      [80, 95],
    ] as const;
    expect(medianOf(marks, [])).toBe('90.0 of 100 +20.0');
  });

  it('is of those alone who handed in both times, where others came or went', () => {
    // The medians of all are 80 and 80: other people.
    const newcomer = [
      [60, 70],
      [80, 85],
      [null, 80],
    ] as const;
    expect(medianOf(newcomer, [90])).toBe('80.0 of 100 +7.5 of those who handed in both times');
    expect(medianOf(newcomer.slice(0, 2), [90])).toBe(
      '77.5 of 100 +7.5 of those who handed in both times',
    );
    expect(
      medianOf(
        [
          [80, 70],
          [60, null],
        ],
        [],
      ),
    ).toBe('70.0 of 100 -10.0 of those who handed in both times');
  });

  it('is not told where nobody handed in both times', () => {
    expect(medianOf([[null, 80]], [50])).toBe('80.0 of 100');
  });
});
