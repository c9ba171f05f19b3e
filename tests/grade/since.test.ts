import { describe, expect, it } from 'vitest';
import { UsageError } from '../../src/asset/errors.js';
import { dueDate, lateBy, lateWords } from '../../src/grade/late.js';
import { faultChanges, perhapsSame } from '../../src/grade/since.js';
import { sinceBlocks } from '../../src/grade/since-words.js';
import { SETTINGS } from './mark.js';

describe('what was mended and what is new', () => {
  it('goes by rule and place, and counts each place as often as it is there', () => {
    const before = [
      { rule: 'axis.up', at: ['a', 'a', 'a/b'] },
      { rule: 'skin.sum', at: ['mesh'] },
    ];
    const now = [
      { rule: 'axis.up', at: ['a', 'c'] },
      { rule: 'name.missing', at: ['a/b'] },
    ];
    expect(faultChanges(before, now)).toEqual({
      mended: [
        { rule: 'axis.up', at: ['a', 'a/b'] },
        { rule: 'skin.sum', at: ['mesh'] },
      ],
      added: [
        { rule: 'axis.up', at: ['c'] },
        { rule: 'name.missing', at: ['a/b'] },
      ],
      still: 1,
    });
  });

  it('knows a joint that hangs elsewhere by its name, unless two have it', () => {
    const moved = faultChanges(
      [{ rule: 'axis.up', at: ['shin_L'] }],
      [{ rule: 'axis.up', at: ['body/thigh_L/shin_L'] }],
    );
    expect(moved).toEqual({ mended: [], added: [], still: 1 });
    const twice = faultChanges(
      [{ rule: 'axis.up', at: ['l/end', 'r/end'] }],
      [{ rule: 'axis.up', at: ['body/l/end', 'body/r/end'] }],
    );
    expect([twice.mended, twice.still]).toEqual([[{ rule: 'axis.up', at: ['l/end', 'r/end'] }], 0]);
  });

  it('is told with the points, the rule and the joints', () => {
    const faults = {
      mended: [{ rule: 'axis.up', at: ['body/shin_L', 'body/shin_R'] }],
      added: [{ rule: 'gone.rule', at: [''] }],
      still: 2,
    };
    const since = {
      kind: 'changed',
      before: [700, null, 880],
      change: 118,
      gradeBefore: 'B',
      faults,
    } as const;
    expect(sinceBlocks(since, 998, 'A-', true, SETTINGS).join('\n\n')).toMatchInlineSnapshot(`
      "## Since the last hand-in

      Points: 88.0 before, 99.8 now (+11.8). Before that: 70.0. Grade: B before, A- now. Faults mended: 2. New: 1. Still there: 2. The rules, limits, points or steps of grades are not the same as last time, so some of this can come from them.

      - **Mended**: a joint rolled away from its segment (\`axis.up\`), 2 places: \`shin_L\`, \`shin_R\`
      - **New**: \`gone.rule\`"
    `);
    expect(sinceBlocks({ ...since, kind: 'new' }, 998, 'B', false, SETTINGS)).toEqual([]);
    const same = {
      ...{ before: [880], change: 0, gradeBefore: 'B', faults: null },
      kind: 'same files',
    } as const;
    expect(sinceBlocks(same, 880, 'B', false, SETTINGS)).toEqual([
      '## Since the last hand-in',
      'The files are the same as those of the last hand-in. Points: 88.0 before, 88.0 now (no change). Grade: B, as before.',
    ]);
  });
});

describe('a hand-in under another name', () => {
  const absent = ['a.glb', 'b', 'c', 'd'].map((name, at) => ({
    name,
    before: [],
    gradeBefore: null,
    older: {
      name,
      marks: [],
      grade: null,
      content: `content ${at}`,
      joints: at > 0 ? 'alike' : 'own',
      faults: null,
    },
  }));
  const record = (content: string | null, joints: string | null) => ({
    content,
    joints,
    faults: null,
  });

  it('is offered by its files, then by its joints, then by its name without the ending', () => {
    expect(perhapsSame('x', record('content 2', 'own'), absent)).toEqual(['c']);
    expect(perhapsSame('x', record('new', 'own'), absent)).toEqual(['a.glb']);
    expect(perhapsSame('x', record('new', 'alike'), absent)).toEqual(['b', 'c', 'd']);
    expect(perhapsSame('A', record(null, null), absent)).toEqual(['a.glb']);
  });

  it('is not offered where nothing speaks for it, or too many do', () => {
    expect(perhapsSame('x', record(null, null), absent)).toEqual([]);
    const many = [...absent, ...absent].map((each) => ({
      ...each,
      older: { ...each.older, joints: 'alike' },
    }));
    expect(perhapsSame('x', record('new', 'alike'), many)).toEqual([]);
  });
});

describe('a due date', () => {
  it('is of this machine unless a zone is given, and a day ends at midnight', () => {
    expect(dueDate('2026-03-01T18:00Z').toISOString()).toBe('2026-03-01T18:00:00.000Z');
    expect(dueDate('2026-03-01T18:00+01:00').toISOString()).toBe('2026-03-01T17:00:00.000Z');
    expect(dueDate('2026-03-01T18:00')).toEqual(new Date(2026, 2, 1, 18));
    expect(dueDate(' 2026-03-01 ')).toEqual(new Date(2026, 2, 1, 23, 59, 59, 999));
  });

  it.each(['', '1.3.2026', '2026-02-30', '2026-13-01', '2026-03-01T25:00', '2026-3-1', 'today'])(
    'is refused in one line when it is none: %j',
    (text) => {
      expect(() => dueDate(text)).toThrow(UsageError);
      expect(() => dueDate(text)).toThrow('write it as 2026-03-01 or 2026-03-01T18:00');
    },
  );

  it('makes late what was changed after it, and nothing else', () => {
    const due = new Date(2026, 2, 1, 18);
    const at = (minutes: number): Date => new Date(due.getTime() + minutes * 60_000);
    expect([at(-1), at(0), null].map((date) => lateBy(date, due))).toEqual([0, 0, 0]);
    expect(lateBy(at(9999), null)).toBe(0);
    const words = [0.5, 1, 60, 61, 1440, 1500, 4000].map((minutes) =>
      lateWords(lateBy(at(minutes), due)),
    );
    expect(words).toEqual([
      'less than a minute',
      '1 minute',
      '1 hour',
      '1 hour 1 minute',
      '1 day',
      '1 day 1 hour',
      '2 days 18 hours',
    ]);
  });
});
