import { describe, expect, it } from 'vitest';
import { families, rules } from '../../rules/index.js';
import { UsageError } from '../../src/asset/errors.js';
import { defaultSettings } from '../../src/check/settings.js';
import { familyCost } from '../../src/grade/family-cost.js';
import type { Faulty } from '../../src/grade/faulty-places.js';
import { PRAISE } from '../../src/grade/praise.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { DEFAULT_GRADING } from '../../src/standard/grading.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { readShare, without } from '../../src/standard/share.js';
import { DEFAULT_POINTS } from '../../src/standard/standard-schema.js';
import { startingStandard } from '../../src/standard/starting-file.js';

const parse = (text: string) => parseStandard(text, 'class.json', rules).points;

describe('the default rubric', () => {
  it('names every family, and sums to 100', () => {
    expect(Object.keys(DEFAULT_POINTS).sort()).toEqual([...families].sort());
    expect(rubricOf(null, rules).whole).toBe(1000);
  });

  it('has as many points with a model, and some of them for being like it', () => {
    const { whole, families: worths } = rubricOf(null, rules, undefined, true);
    expect(whole).toBe(1000);
    expect(worths.find(({ family }) => family === 'fit')?.worth).toBe(150);
  });

  it('is told in the starting file, and reads back as itself once it is no comment', () => {
    const text = startingStandard(rules);
    expect(parse(text)).toBeNull();
    const set = text.replace('// "points"', '"points"');
    expect(parse(set)).toEqual(DEFAULT_POINTS);
    const graded = text.replace('// "grading"', '"grading"');
    const { own, grading } = parseStandard(graded, 'class.json', rules);
    expect(own.grading).toEqual(DEFAULT_GRADING);
    expect(grading).toEqual(rubricOf(null, rules).grading);
  });
});

describe('points of a standard', () => {
  it('are taken as they stand, a family left out worth nothing', () => {
    const rubric = rubricOf(parse('{ "points": { "skin": 12.5, "axis": 7, "root": 0 } }'), rules);
    expect(rubric.families).toEqual([
      { family: 'axis', worth: 70 },
      { family: 'skin', worth: 125 },
    ]);
    expect(rubric.whole).toBe(195);
  });

  it('change nothing of what a check finds', () => {
    const { settings } = parseStandard('{ "points": { "axis": 1 } }', 'class.json', rules);
    expect(settings).toEqual(defaultSettings(rules));
  });

  it.each([
    ['{ "points": { "axes": 10 } }', 'has no family of rules "axes". Did you mean "axis"?'],
    ['{ "points": { "axis": -1 } }', '"points" > "axis" must not be below 0'],
    ['{ "points": { "axis": 1e9 } }', '"points" > "axis" must not be above 10000'],
    ['{ "points": { "axis": "10" } }', '"points" > "axis" must be a number'],
    ['{ "points": { "axis": 0.25 } }', '"points" > "axis" has more than one decimal'],
    ['{ "points": { "axis": 0, "skin": 0 } }', 'gives no family a number above 0'],
    ['{ "points": {} }', 'gives no family a number above 0'],
    ['{ "points": 100 }', '"points" must be an object in braces'],
  ])('that read %s are refused with a line and what is wrong', (text, message) => {
    expect(() => parse(text)).toThrow(UsageError);
    expect(() => parse(text)).toThrow(message);
    expect(() => parse(text)).toThrow('the standard class.json is wrong at line 1, column ');
  });
});

/**
 * Source: "Rigging rubric", rcampus.com, code WXW7A92: full marks where no joint or control is at fault,
 * two thirds for one to four, one third for five and more.
 */
describe('the default bands are those of a published rubric', () => {
  const PUBLISHED = [
    [0, 1],
    [1, 2 / 3],
    [4, 2 / 3],
    [5, 1 / 3],
    [40, 1 / 3],
  ] as const;
  const { grading } = rubricOf(null, rules);
  const faulty = (count: number): Faulty[] =>
    Array.from({ length: count }, () => ({ kind: 'joint', level: 'warning' }));
  const lost = (count: number, by = grading): number => familyCost(faulty(count), by).share;

  it.each(PUBLISHED)(
    '%i joints at fault cost 3/2 of what they cost there, which leaves %f',
    (count, share) => {
      expect(lost(count)).toBeCloseTo((3 / 2) * (1 - share), 12);
    },
  );

  it.each(PUBLISHED)('by a standard that takes its shares, %i leave %f', (count, share) => {
    const bands = [
      { from: 1, costs: '1/3' },
      { from: 5, costs: '2/3' },
    ];
    const own = parseStandard(JSON.stringify({ grading: { bands } }), 'class.json', rules);
    expect(1 - lost(count, own.grading)).toBeCloseTo(share, 12);
  });
});

describe('the default points weigh as published gradings do', () => {
  const worth = (...names: string[]): number =>
    names.reduce((sum, name) => sum + (DEFAULT_POINTS[name] ?? 0), 0);

  // Source: the same rubric: function 70 of 100, naming and organisation 20.
  it('what makes a rig work has at least as much, and naming no more', () => {
    expect(worth('name')).toBeGreaterThan(0);
    expect(worth('name')).toBeLessThanOrEqual(20);
    const works = ['root', 'rest', 'axis', 'scale', 'chain', 'place', 'skin', 'motion'];
    expect(worth(...works)).toBeGreaterThanOrEqual(70);
  });

  // Source: a university course's grading (maaa303.blogspot.com, 2013 and 2015), "architecture".
  it('its four parts each have points: axes, placement, zeroed transforms, skin', () => {
    for (const part of [['axis'], ['place'], ['rest', 'scale'], ['skin']])
      expect(worth(...part)).toBeGreaterThanOrEqual(10);
  });
});

describe('what faults cost by a standard', () => {
  const written = (grading: unknown): string => JSON.stringify({ grading });
  const read = (grading: unknown) => parseStandard(written(grading), 'class.json', rules).grading;

  it('keeps its defaults where it says nothing', () => {
    expect(read({})).toEqual(rubricOf(null, rules).grading);
    expect(read({ unsound: 0.5, notes: '10 %' })).toMatchObject({
      unsound: { text: '0.5', value: 0.5 },
      notes: { text: '10 %', value: 0.1 },
      error: { text: '1', value: 1 },
    });
  });

  it('takes bands of a nearer standard as a whole, and single values from above', () => {
    const above = parseStandard(
      written({ bands: [{ from: 2, costs: '1/4' }], error: 0 }),
      'above.json',
      rules,
    );
    const near = written({ bands: [{ from: 1, costs: 1 }] });
    const { grading } = parseStandard(near, 'class.json', rules, '/', () => above);
    expect(grading.bands).toEqual([{ from: 1, costs: { text: '1', value: 1 } }]);
    expect(grading.error.value).toBe(0);
  });

  it('takes what rules count as one by one: from above, and from the defaults', () => {
    const above = parseStandard(written({ counts: { 'skin.side': 'error' } }), 'above.json', rules);
    const near = written({ counts: { 'motion.collapse': 'note' } });
    const { grading } = parseStandard(near, 'class.json', rules, '/', () => above);
    expect(grading.counts).toEqual({
      ...DEFAULT_GRADING.counts,
      'skin.side': 'error',
      'motion.collapse': 'note',
    });
  });

  it('takes the most that rigs with a rule get one by one, too', () => {
    const above = parseStandard(written({ most: { 'root.single': '60 %' } }), 'a.json', rules);
    const near = written({ most: { 'chain.direction': 1 } });
    const { grading } = parseStandard(near, 'class.json', rules, '/', () => above);
    expect(grading.most).toEqual({
      'root.single': { text: '60 %', value: 0.6 },
      'chain.direction': { text: '1', value: 1 },
    });
  });

  it('takes the second families of rules one by one, too', () => {
    const above = parseStandard(written({ also: { 'axis.aim': 'place' } }), 'a.json', rules);
    const near = written({ also: { 'axis.up': 'place' } });
    const { grading } = parseStandard(near, 'class.json', rules, '/', () => above);
    expect(grading.also).toEqual({
      ...DEFAULT_GRADING.also,
      'axis.aim': 'place',
      'axis.up': 'place',
    });
  });

  it('changes nothing of what a check finds', () => {
    const grading = { error: 0, counts: { 'motion.collapse': 'note' } };
    const { settings } = parseStandard(written(grading), 'class.json', rules);
    expect(settings).toEqual(defaultSettings(rules));
  });

  it.each([
    [{ band: [] }, '"grading" has no key "band". Did you mean "bands"?'],
    [{ error: 2 }, '"grading" > "error" must not be above 1'],
    [{ error: -1 }, '"grading" > "error" must not be below 0'],
    [{ error: '3/2' }, '"grading" > "error" is no share of a whole; write a number from 0 to 1'],
    [{ error: '1/0' }, '"grading" > "error" is no share of a whole'],
    [{ unsound: '700 %' }, '"grading" > "unsound" is no share of a whole'],
    [{ unsound: 'most' }, '"grading" > "unsound" is no share of a whole'],
    [{ unsound: true }, '"grading" > "unsound" must be a number or text in quotes'],
    [{ bands: [] }, '"grading" > "bands" is empty'],
    [{ bands: {} }, '"grading" > "bands" must be a list in brackets'],
    [{ bands: [{ from: 1 }] }, '"grading" > "bands" > "0" lacks "costs"; add it'],
    [{ bands: [{ from: 0, costs: 1 }] }, '"from" must not be below 1'],
    [{ bands: [{ from: 1.5, costs: 1 }] }, '"from" must be a whole number'],
    [{ bands: [{ from: 1, cost: 1 }] }, 'has no key "cost". Did you mean "costs"?'],
    [
      {
        bands: [
          { from: 5, costs: 0.1 },
          { from: 1, costs: 0.2 },
        ],
      },
      'is 1, after a band from 5 on; write the bands in order',
    ],
    [
      {
        bands: [
          { from: 1, costs: '1/2' },
          { from: 5, costs: '1/3' },
        ],
      },
      'is 1/3, less than the 1/2 of fewer joints at fault; more faults cannot cost less',
    ],
    [{ notes: 1, warnings: '1/2' }, '"grading" > "notes" is 1, more than the 1/2 of "warnings"'],
    [{ most: { 'skin.sum': 2 } }, '"grading" > "most" > "skin.sum" must not be above 1'],
    [{ most: { 'skin.sum': 'half' } }, '"grading" > "most" > "skin.sum" is no share of a whole'],
    [{ most: { skin: 1 } }, '"most" takes single rules; "skin" is a family of rules'],
    [
      { counts: { 'skin.sums': 'note' } },
      '"grading" > "counts" has no rule "skin.sums". Did you mean "skin.sum"?',
    ],
    [{ counts: { skin: 'note' } }, '"counts" takes single rules; "skin" is a family of rules'],
    [
      { counts: { 'skin.sum': 'none' } },
      '"skin.sum" is "none". Did you mean "note"? Known: error, warning, note.',
    ],
    [{ counts: [] }, '"grading" > "counts" must be an object in braces'],
    [
      { countsFrom: { 'axis.up': 20 } },
      '"grading" > "countsFrom" > "axis.up" has no level in "counts" to count as from there on',
    ],
    [{ also: { root: 'chain' } }, '"also" takes single rules; "root" is a family of rules'],
    [{ also: { 'root.single': 'chains' } }, '"root.single" is "chains". Did you mean "chain"?'],
    [
      {
        grades: [
          { name: 'good', from: 0.9 },
          { name: 'not yet', from: 0 },
        ],
      },
      '"grading" > "grades" > "0" > "from" is 0.9; grades are from so many percent of all points on, such as 90',
    ],
  ])('that says %j is refused with a line and what is wrong', (grading, message) => {
    expect(() => read(grading)).toThrow(UsageError);
    expect(() => read(grading)).toThrow(message);
    expect(() => read(grading)).toThrow('the standard class.json is wrong at line 1, column ');
  });
});

describe('a share without another', () => {
  it.each([
    [1, '1/3', '2/3'],
    ['2/3', '1/6', '1/2'],
    [1, '25 %', '75 %'],
    ['70 %', '12.5 %', '57.5 %'],
    [1, 0.35, '0.65'],
    [0.5, 0.2, '0.3'],
    ['1/2', '25 %', '(1/2 − 25 %)'],
    ['1/2', 0, '1/2'],
  ])('%s less %s is %s', (all, less, text) => {
    const [share, other] = [readShare(all), readShare(less)];
    if (share === null || other === null) throw new Error('both are shares');
    expect(without(share, other).text).toBe(text);
    expect(without(share, other).value).toBeCloseTo(share.value - other.value, 9);
  });
});

it('praise is for rules that there are', () => {
  const ids = rules.map(({ id }) => id);
  expect(Object.keys(PRAISE).filter((id) => !ids.includes(id))).toEqual([]);
});
