// Sources: JSON Schema draft-07, by ajv in its strict mode, for the schema; ISO 8601 and the leap
// years of the Gregorian calendar for days.
import { join } from 'node:path';
import { Ajv } from 'ajv';
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import { rules } from '../../rules/index.js';
import { UsageError } from '../../src/asset/errors.js';
import { isDay, utcDay } from '../../src/waivers/day.js';
import { findLedger, LEDGER_NAME } from '../../src/waivers/ledger.js';
import { ledgerSchema } from '../../src/waivers/ledger-schema.js';
import { STARTING_LEDGER } from '../../src/waivers/ledger-text.js';
import { parseLedger, readLedger } from '../../src/waivers/read-ledger.js';
import { waiverLine } from '../../src/waivers/waiver-line.js';
import { tempFolder } from '../support/temp-folder.js';

const parse = (text: string) => parseLedger(text, 'house.json', '/theatre', rules);
const one = (change: object): string =>
  JSON.stringify({
    waivers: [{ rule: 'axis.up', asset: 'heron.glb', why: 'a crank', by: 'prop room', ...change }],
  });

/** What must be said with a measure. */
const MILD = { level: 'note', measured: 3, unit: '%' };
const never = (): never => {
  throw new Error('no waiver');
};

describe('a ledger', () => {
  it('that was just begun waives nothing', () => {
    expect(parse(STARTING_LEDGER).waivers).toEqual([]);
  });

  it('takes comments and trailing commas, and keeps the line of each waiver', () => {
    const { path, waivers } = parse(`// the theatre's
{ "waivers": [
  // left by the old workshop
  { "rule": "axis.up", "asset": "heron*.glb", "why": "a crank", "by": "prop room" },
  { "rule": "rest.bind", "asset": "mule.glb", "joint": "body/neck", "why": "posed",\r
    "by": "prop room", "until": "2031-05-01", }, ], }`);
    expect(path).toBe('house.json');
    expect(waivers.map(({ pattern: _, ...waiver }) => waiver)).toEqual([
      {
        line: 4,
        rule: 'axis.up',
        asset: 'heron*.glb',
        joint: null,
        why: 'a crank',
        by: 'prop room',
        until: null,
      },
      {
        line: 5,
        rule: 'rest.bind',
        asset: 'mule.glb',
        joint: 'body/neck',
        why: 'posed',
        by: 'prop room',
        until: '2031-05-01',
      },
    ]);
  });

  it('keeps what was accepted, as it was written', () => {
    const places = { 'body/neck': 12.5, 'mesh:cloak': null, __proto__x: 1 };
    const text = one({
      rig: 'heron',
      aspect: 'styles',
      level: 'warning',
      measured: null,
      unit: 'vertices',
      also: { '%': 12 },
      vertices: [3, 200],
      insteadOf: ['axis.aim'],
      places,
    });
    const [waiver] = parse(text).waivers;
    expect(waiver).toMatchObject({ rig: 'heron', aspect: 'styles', joint: null });
    expect(waiver?.accepted).toEqual({
      level: 'warning',
      measured: null,
      unit: 'vertices',
      also: new Map([['%', 12]]),
      vertices: { short: 3, of: 200 },
      insteadOf: ['axis.aim'],
      places: new Map(Object.entries(places)),
    });
    const { line: _, pattern: __, ...written } = waiver ?? parse(one({})).waivers[0] ?? never();
    const again = parse(`{ "waivers": [${waiverLine(written)}] }`).waivers[0];
    expect(again?.accepted).toEqual(waiver?.accepted);
  });

  it('is read from a file, and found from any folder below it', () => {
    const cwd = tempFolder({ [LEDGER_NAME]: `\uFEFF${one({})}`, 'puppets/walkers/mule.glb': '' });
    const found = findLedger(join(cwd, 'puppets', 'walkers'));
    expect(found).toBe(join(cwd, LEDGER_NAME));
    expect(readLedger(found ?? '', LEDGER_NAME, rules).waivers).toHaveLength(1);
  });

  it('may be there without a waiver, or not at all', () => {
    expect(parse('{ "waivers": [] }').waivers).toEqual([]);
    expect(findLedger(tempFolder())).toBeNull();
  });

  it.each([
    ['', 'it is empty'],
    ['{ "waivers": [', 'expected'],
    ['[]', 'the ledger must be an object in braces'],
    ['{}', 'the ledger has no "waivers"; give it a list'],
    ['{ "waiver": [] }', 'the ledger has no key "waiver". Did you mean "waivers"?'],
    ['{ "waivers": {} }', '"waivers" must be a list in brackets'],
    ['{ "waivers": [], "waivers": [] }', '"waivers" is given twice'],
    ['{ "waivers": ["axis.up"] }', 'the waiver must be an object in braces'],
    [one({ rule: 'axis.ip' }), 'there is no rule "axis.ip". Did you mean "axis.up"?'],
    [one({ rule: 'axis' }), '"axis" is a family of them, such as axis.aim'],
    [one({ rule: 'n'.repeat(5000) }), 'nnn...". "trysquare rules" lists them all'],
    [one({ rule: 7 }), '"rule" must be'],
    [one({ rule: undefined }), 'the waiver has no "rule"; name the rule'],
    [one({ why: undefined }), 'the waiver has no "why"; say why the finding is accepted'],
    [one({ by: undefined }), 'the waiver has no "by"; say who accepts it'],
    [one({ why: '  ' }), '"why" is blank; say why'],
    [one({ by: '' }), '"by" is blank; say who'],
    [one({ why: 'n'.repeat(1001) }), '"why" is too long (limit 1000 letters)'],
    [one({ asset: '' }), '"asset" is empty; name the assets'],
    [one({ asset: ['heron.glb'] }), '"asset" must be text in quotes'],
    [one({ joint: null }), '"joint" must be text in quotes'],
    [one({ joints: 'body' }), 'the waiver has no key "joints". Did you mean "joint"?'],
    [one({ until: '1 May 2031' }), '"until" is "1 May 2031"; write a day as YYYY-MM-DD'],
    [one({ until: '2027-02-30' }), '"until" is "2027-02-30", which no calendar has'],
    [one({ until: '2027-13-01' }), 'which no calendar has'],
    [one({ until: 20270101 }), '"until" must be text in quotes'],
    [one({ measured: 3 }), 'the waiver has "measured" but no "level"'],
    [one({ places: { body: 3 } }), 'the waiver has "places" but no "measured"'],
    [one({ ...MILD, level: 'grave' }), '"level" must be one of error, warning, note'],
    [one({ ...MILD, measured: 'much' }), '"measured" must be a number, or null'],
    [one({ ...MILD, unit: 3 }), '"unit" must be text in quotes'],
    [one({ ...MILD, places: [] }), '"places" must be an object in braces'],
    [one({ ...MILD, places: {} }), '"places" must be an object in braces'],
    [one({ ...MILD, places: { body: 'much' } }), '"body" in "places" must be a number, or null'],
    [one({ ...MILD, also: { degrees: null } }), '"degrees" in "also" must be a number'],
    [one({ ...MILD, vertices: [3] }), '"vertices" must be two whole numbers in brackets'],
    [one({ ...MILD, vertices: [3, -1] }), '"vertices" must be two whole numbers in brackets'],
    [one({ ...MILD, insteadOf: 'axis.up' }), '"insteadOf" must be a list of rules in brackets'],
    [
      one({ ...MILD, joint: 'body', places: { body: 3 } }),
      'the waiver has both "joint" and "places"; take "joint" out',
    ],
    [one({ asset: '*a*a*a*a' }), 'the pattern "*a*a*a*a" has 4 stars and braces'],
    [one({ asset: '+(+(+(a' }).replace('+(+(+(a', '[a'), 'has a bracket that is not closed'],
    [one({ asset: '/heron.glb' }), 'is an absolute path'],
  ])('that reads %.90s is refused with a line and what is wrong', (text, message) => {
    expect(() => parse(text)).toThrow(UsageError);
    expect(() => parse(text)).toThrow(message);
    expect(() => parse(text)).toThrow(/^the ledger house\.json is wrong at line \d+, column \d+: /);
  });

  it('names the line and column of the fault, and of others after it', () => {
    const text = `{ "waivers": [\n${'{ "rule": "axis.up", "asset": "a", "why": "b", "by": "c" },\n'.repeat(3)}
      { "rule": "axis.ip", "asset": "a", "why": "b", "by": "c" }, { "rule": 3 } ] }`;
    expect(() => parse(text)).toThrow(
      /at line 6, column 17: there is no rule "axis\.ip".* Also at line 6, column 67: the waiver has no "asset".* Also at line 6, column 77: "rule" must be the name of a rule in quotes\.$/,
    );
  });

  it('tells a misspelt key once, and not that what it stood for is missing', () => {
    expect(() => parse(one({ why: undefined, reason: 'worn' }))).toThrow(
      /has no key "reason"[^\n]*Known: [^.]*\.$/,
    );
    expect(() => parse(one({ why: undefined, by: undefined }))).toThrow(
      /has no "why"[^\n]* Also at [^\n]* has no "by"/,
    );
  });

  it('is refused when nested deeply, and not for brackets in its words', () => {
    expect(() => parse('['.repeat(1_000_000))).toThrow('is nested too deeply');
    expect(() => parse(one({ deep: JSON.parse(`${'['.repeat(99)}${']'.repeat(99)}`) }))).toThrow(
      'is nested too deeply',
    );
    expect(parse(one({ joint: '[{'.repeat(200) })).waivers).toHaveLength(1);
    expect(parse(`// ${'['.repeat(99)}\n${one({})}`).waivers).toHaveLength(1);
  });

  it.each([
    ['a folder', { [`${LEDGER_NAME}/x`]: '' }, 'it is a folder'],
    ['longer than any', { [LEDGER_NAME]: ' '.repeat((1 << 24) + 1) }, 'are too many'],
    ['missing', {}, 'there is no such file'],
  ])('that is %s is a usage error', (_, files, why) => {
    const path = join(tempFolder(files), LEDGER_NAME);
    expect(() => readLedger(path, LEDGER_NAME, rules)).toThrow(UsageError);
    expect(() => readLedger(path, LEDGER_NAME, rules)).toThrow(why);
  });
});

describe('a day', () => {
  it('is one that the Gregorian calendar has', () => {
    // A year is a leap year when 4 divides it, save those that 100 divides and 400 does not.
    for (let year = 1890; year <= 2110; year++) {
      const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
      expect(isDay(`${year}-02-29`)).toBe(isLeap);
      expect(isDay(`${year}-04-31`)).toBe(false);
      expect(isDay(`${year}-12-31`)).toBe(true);
    }
  });

  it.each([
    '2027-1-1',
    '27-01-01',
    '2027-00-10',
    '2027-01-00',
    '2027-01-01T00:00',
    ' 2027-01-01',
    '+02027-01-01',
    '',
  ])('is not written as "%s"', (text) => {
    expect(isDay(text)).toBe(false);
  });

  it('is the one in UTC, wherever the clock stands', () => {
    expect(utcDay(new Date('2031-05-01T23:30:00-02:00'))).toBe('2031-05-02');
    expect(utcDay(new Date('2031-05-01T00:30:00+02:00'))).toBe('2031-04-30');
  });
});

describe('its schema', () => {
  it('is compiled once for the same rules, and anew for others', () => {
    const compile = vi.spyOn(Ajv.prototype, 'compile');
    onTestFinished(() => compile.mockRestore());
    const [first, ...others] = rules;
    for (const known of [[...rules], others]) {
      parseLedger('{ "waivers": [] }', 'house.json', '/theatre', known);
      parseLedger('{ "waivers": [] }', 'house.json', '/theatre', known);
    }
    expect(compile).toHaveBeenCalledTimes(2);
    const text = one({ rule: first?.id });
    expect(parse(text).waivers).toHaveLength(1);
    expect(() => parseLedger(text, 'house.json', '/theatre', others)).toThrow(UsageError);
  });

  const validate = new Ajv({ allErrors: true }).compile(ledgerSchema(rules));

  it('names every rule and nothing else', () => {
    const { properties } = ledgerSchema(rules) as {
      // As the schema is written; the test fails if it is not.
      properties: { waivers: { items: { properties: { rule: { enum: string[] } } } } };
    };
    expect(properties.waivers.items.properties.rule.enum).toEqual(rules.map((rule) => rule.id));
  });

  it('takes what the reader takes and refuses what it refuses by form', () => {
    expect(validate(JSON.parse(one({ joint: '*', until: '2031-05-01' })))).toBe(true);
    expect(validate(JSON.parse(one({ until: '2031-5-1' })))).toBe(false);
    expect(validate(JSON.parse(one({ rule: 'axis' })))).toBe(false);
  });

  it('tells of a merge that was left open, at its first mark', () => {
    const [ours, theirs] = ['<<<<<<< HEAD', '>>>>>>> puppets'];
    const text = `{\n  "waivers": [\n${ours}\n=======\n${theirs}\n  ]\n}\n`;
    expect(() => parse(text)).toThrow(
      /^the ledger house\.json is wrong at line 3, column 1: two versions of this file were merged/,
    );
  });
});
