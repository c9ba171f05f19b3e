import { expect, it } from 'vitest';
import { passedWords } from '../../src/report/finding-words.js';
import { PLAIN } from '../../src/report/paint.js';
import { bendLines, measuredLines } from '../../src/report/text-measured.js';
import { makePen } from '../../src/report/text-pen.js';
import { sampleRig } from './sample-report.js';

it('a rule that looked at nothing has passed on nothing', () => {
  const entry = (looked: number, elsewhere = 0) =>
    ({ rule: 'a.b', kind: 'judged', looked, short: 0, elsewhere, of: 'joints' }) as const;
  const linesOf = (looked: number, elsewhere = 0): string =>
    measuredLines(
      { ...sampleRig(), measured: [entry(looked, elsewhere)] },
      makePen({ columns: 80, paint: PLAIN }),
    )
      .join('\n')
      .trim();
  expect(linesOf(0)).toMatch(/a\.b: nothing to judge$/);
  expect(linesOf(2)).toMatch(/a\.b: passed on 2 of 2 joints$/);
  expect(linesOf(0, 1)).toMatch(/passed on 0 of 0 joints; 1 reported by another rule$/);
  expect(passedWords(entry(0))).toBe('nothing to judge');
});

it('bends are told with what they are held to, and a negative volume in words', () => {
  const bend = {
    joint: 0,
    axis: '+side',
    volumeKept: -1.02,
    inverted: 3,
    triangles: 8,
    stretch: 1.5,
  };
  const said = (short: number): string => {
    const rule = 'motion.collapse';
    const entry = { rule, kind: 'judged', looked: 4, short, elsewhere: 0, of: 'joints' } as const;
    const pen = makePen({ columns: 200, paint: PLAIN });
    return bendLines({ ...sampleRig(), bends: [bend], measured: [entry] }, pen).join('\n');
  };
  expect(said(0)).toContain('the worst first (none is over the limit of motion.collapse):');
  expect(said(1)).toContain('the worst first:');
  expect(said(1)).toContain('+side: turned inside out (202 % of the volume lost), 3 of 8');
});
