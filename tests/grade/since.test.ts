import { describe, expect, it } from 'vitest';
import { UsageError } from '../../src/asset/errors.js';
import { changeLines, changesLead } from '../../src/grade/change-words.js';
import { faultChanges } from '../../src/grade/fault-changes.js';
import { dueDate, lateBy, lateWords } from '../../src/grade/late.js';
import { perhapsSame } from '../../src/grade/since.js';
import { sinceBlocks } from '../../src/grade/since-words.js';
import { SETTINGS } from './mark.js';

const UNTURNED = { eased: [], graver: [] };

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
      ...UNTURNED,
      still: { faults: 1, notes: 0 },
    });
  });

  it('knows a joint that hangs elsewhere by its name, unless two have it', () => {
    const moved = faultChanges(
      [{ rule: 'axis.up', at: ['shin_L'] }],
      [{ rule: 'axis.up', at: ['body/thigh_L/shin_L'] }],
    );
    expect(moved).toEqual({
      ...{ mended: [], added: [], ...UNTURNED },
      still: { faults: 1, notes: 0 },
    });
    const twice = faultChanges(
      [{ rule: 'axis.up', at: ['l/end', 'r/end'] }],
      [{ rule: 'axis.up', at: ['body/l/end', 'body/r/end'] }],
    );
    expect([twice.mended, twice.still]).toEqual([
      [{ rule: 'axis.up', at: ['l/end', 'r/end'] }],
      { faults: 0, notes: 0 },
    ]);
  });

  it('tells notes apart from faults, and what turned from one to the other', () => {
    const of = (rule: string, note: boolean, ...at: string[]) => ({ rule, at, note });
    const changes = faultChanges(
      [
        of('axis.up', false, 'a', 'b', 'c'),
        of('axis.up', true, 'd'),
        of('axis.end', true, 'e', 'f'),
      ],
      [of('axis.up', false, 'a', 'd'), of('axis.up', true, 'b'), of('axis.end', true, 'e', 'g')],
    );
    expect(changes).toEqual({
      mended: [of('axis.up', false, 'c'), of('axis.end', true, 'f')],
      added: [of('axis.end', true, 'g')],
      eased: [of('axis.up', true, 'b')],
      graver: [of('axis.up', false, 'd')],
      still: { faults: 1, notes: 1 },
    });
    const words = (isSame: boolean) => [
      changesLead(changes, isSame),
      ...changeLines(changes, isSame, SETTINGS).map((line) => line.replace(/: .*: /, ': ')),
    ];
    expect(words(false)).toEqual([
      'Faults mended: 1. New: 0. Now notes: 1. Still there: 1. Notes gone: 1. New: 1. Now faults: 1. Still there: 1.',
      ...['- **Mended**: `c`', '- **A note now**: `b`', '- **A fault now**: `d`'],
      ...['- **Note gone**: `f`', '- **New note**: `g`'],
    ]);
    expect(words(true)).toEqual([
      'Faults no longer found: 1. Now found: 0. Now notes: 1. Still there: 1. Notes no longer found: 1. Now found: 1. Now faults: 1. Still there: 1.',
      ...['- **No longer found**: `c`', '- **A note now**: `b`', '- **A fault now**: `d`'],
      ...['- **Note no longer found**: `f`', '- **Note now found**: `g`'],
    ]);
    const same = [of('axis.up', false, 'a'), of('axis.end', true, 'e', 'f')];
    expect(changesLead(faultChanges(same, same), false)).toBe(
      'The same 1 fault and 2 notes as last time.',
    );
    const notes = same.slice(1);
    expect(changesLead(faultChanges(notes, notes), false)).toBe('The same 2 notes as last time.');
    expect(changesLead(faultChanges(same, notes), false)).toBe(
      'Faults mended: 1. New: 0. Still there: 0. The same 2 notes as last time.',
    );
  });

  it('names a joint once, with the rigs or the places that have it', () => {
    const found = { rule: 'axis.up', note: false };
    const line = (at: readonly string[], rigs?: readonly number[]): string => {
      const own = { ...found, at, ...(rigs && { rigs }) };
      return (
        changeLines(faultChanges([own], []), false, SETTINGS)[0]?.replace(/^.*?\), /, '') ?? ''
      );
    };
    const four = ['body/neck', 'body/neck', 'body/neck', 'body/neck'];
    expect(line(four, [0, 1, 2, 3])).toBe('4 places: `neck` (4 rigs)');
    expect(line(four, [0, 1, 1, 0])).toBe('4 places: `neck` (4 places in 2 rigs)');
    expect(line(['l/end', 'r/end', 'tip'], [2, 2, 2])).toBe('3 places: `end` (2 places), `tip`');
    // Older grades do not know of rigs.
    expect(line(four)).toBe('4 places: `neck` (4 places)');
    const left = { ...found, at: ['body/neck'], rigs: [2] };
    const changes = faultChanges([{ ...found, at: four, rigs: [0, 1, 2, 3] }], [left]);
    expect(changes.mended).toEqual([{ ...found, at: four.slice(1), rigs: [0, 1, 3] }]);
  });

  it('is told with the points, the rule and the joints', () => {
    const faults = {
      mended: [{ rule: 'axis.up', at: ['body/shin_L', 'body/shin_R'], note: false }],
      added: [{ rule: 'gone.rule', at: [''], note: false }],
      ...UNTURNED,
      still: { faults: 2, notes: 0 },
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
