import { describe, expect, it } from 'vitest';
import { families, rules } from '../../rules/index.js';
import { UsageError } from '../../src/asset/errors.js';
import { defaultSettings } from '../../src/check/settings.js';
import { PRAISE } from '../../src/grade/praise.js';
import { rubricOf, WEIGHTS } from '../../src/grade/rubric.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { DEFAULT_POINTS } from '../../src/standard/standard-schema.js';
import { startingStandard } from '../../src/standard/starting-file.js';

const parse = (text: string) => parseStandard(text, 'class.json', rules).points;

describe('the default rubric', () => {
  it('names every family, and sums to 100', () => {
    expect(Object.keys(DEFAULT_POINTS).sort()).toEqual([...families].sort());
    expect(rubricOf(null, rules).whole).toBe(1000);
  });

  it('is told in the starting file, and reads back as itself once it is no comment', () => {
    const text = startingStandard(rules);
    expect(parse(text)).toBeNull();
    const set = text.replace('// "points"', '"points"');
    expect(parse(set)).toEqual(DEFAULT_POINTS);
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

it('rules weigh more the graver their level is', () => {
  expect(WEIGHTS.error).toBeGreaterThan(WEIGHTS.warning);
  expect(WEIGHTS.warning).toBeGreaterThan(WEIGHTS.note);
  expect(WEIGHTS.note).toBeGreaterThan(0);
});

it('praise is for rules that there are', () => {
  const ids = rules.map(({ id }) => id);
  expect(Object.keys(PRAISE).filter((id) => !ids.includes(id))).toEqual([]);
});
