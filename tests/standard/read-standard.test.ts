import { Ajv } from 'ajv';
import { describe, expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { families, rules } from '../../rules/index.js';
import { UsageError } from '../../src/asset/errors.js';
import { defaultSettings, limitsOf } from '../../src/check/settings.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { standardSchema } from '../../src/standard/standard-schema.js';
import { startingStandard } from '../../src/standard/starting-file.js';
import { checkBuilt, told } from '../support/check-built.js';

const parse = (text: string) => parseStandard(text, 'house.json', rules).settings;

describe('a standard', () => {
  it('may be empty, and then changes nothing', () => {
    expect(parse('{}')).toEqual(defaultSettings(rules));
  });

  it('that was just begun changes nothing either', () => {
    expect(parse(startingStandard(rules))).toEqual(defaultSettings(rules));
  });

  it('still reads with every comment of the starting file taken as a setting', () => {
    const text = startingStandard(rules)
      .replace(/^ *\/\/ (?!")[^\n]*\n/gm, '')
      .replace(/\/\/ (?=")/g, '')
      .replace(/("[^"]*")( \/\/[^\n]*)?\n(?= *"(unit|up|mirror)")/g, '$1,\n');
    const settings = parse(text);
    expect(settings.wanted).toEqual({
      aim: { index: 0, sign: 1 },
      up: { index: 1, sign: 1 },
      mirror: 'all reversed',
      names: parse('{ "names": {} }').wanted.names,
      contract: expect.objectContaining({ facing: { index: 2, sign: 1 } }),
    });
    for (const rule of rules)
      expect(limitsOf(settings, rule)).toEqual(limitsOf(defaultSettings(rules), rule));
  });

  it.each(['{}', '[]', '{ "__proto__": 1 }'])('tells that %s is no word', (written) => {
    for (const key of ['rest', 'failing'])
      expect(() => parse(`{ "${key}": ${written} }`)).toThrow(UsageError);
  });

  it('takes a word on the pose that rigs are delivered in', () => {
    expect(parse('{ "rest": "posed" }').wanted.rest).toBe('posed');
    expect(parse('{ "rest": "bind" }').wanted).toEqual(parse('{}').wanted);
    expect(() => parse('{ "rest": "pose" }')).toThrow('Did you mean "posed"? Known: bind, posed.');
  });

  it('names what a search leaves out, by patterns relative to its folder', () => {
    const read = (text: string) => parseStandard(text, 'house.json', rules).without;
    expect(read('{}')).toEqual([]);
    expect(read('{ "without": ["old", "**/draft-*.glb"] }')).toEqual(['old', '**/draft-*.glb']);
    for (const absolute of ['/stage/old', 'C:/stage/old', '\\\\stage\\old'])
      expect(() => read(JSON.stringify({ without: ['old', absolute] }))).toThrow(
        /at line 1, column 19: "without" has .* an absolute path; write it relative to the folder/,
      );
    expect(() => read('{ "without": "old" }')).toThrow('"without" must be');
    expect(() => read('{ "without": [""] }')).toThrow('"without" > "0"');
  });

  it('takes comments, trailing commas, and limits as numbers or with their unit', () => {
    const settings = parse(`{
      // walking puppets
      "limits": { "axis.aim": { "warn": "3 degrees", "error": 10, }, "rest.centred": { "distance": "2 %" }, "name.missing": { "joints": "1 joint" } },
      "levels": { "chain.hinge": "none" },
    }`);
    expect(settings.limits.get('axis.aim')).toEqual({ warn: 3, error: 10 });
    expect(settings.limits.get('rest.centred')).toEqual({ distance: 2 });
    expect(settings.limits.get('name.missing')).toEqual({ joints: 1 });
    expect(settings.levels.get('chain.hinge')).toBe('none');
  });

  it.each([
    ['{ "convention": {} }', 'has no key "convention". Did you mean "conventions"?'],
    ['{ "limits": { "axis.ame": {} } }', 'has no rule "axis.ame". Did you mean "axis.aim"?'],
    ['{ "limits": { "axis.aim": { "warning": 3 } } }', 'has no limit "warning"'],
    ['{ "levels": { "axis.aim": "eror" } }', 'Did you mean "error"?'],
    [
      '{ "limits": { "axis.aim": { "warn": "3 degres" } } }',
      'the unit "degres" is unknown here. Did you mean "degrees"?',
    ],
    ['{ "conventions": { "aim": "X" } }', 'Did you mean "+X"?'],
    ['{ "conventions": { "unit": "mtr" } }', 'Known: m, cm, mm, in, ft'],
    ['{ "conventions": { "aim": "+X", "up": "-X" } }', 'up cannot lie on the same axis as aim'],
    ['{ "limits": { "axis.aim": { "warn": "wide" } } }', 'is not a number with a unit'],
    ['{ "limits": { "axis.aim": { "warn": -1 } } }', 'must not be below 0'],
    ['[]', 'must be an object in braces'],
    ['', 'it is empty'],
    ['{ "limits": { "axis.uniform": {} } }', 'axis.uniform has no limit that can be set'],
    ['{ "levels": { "axs": "note" } }', 'has no rule or family "axs". Did you mean "axis"?'],
    ['{ "limits": { "axis": { "warn": 5 } } }', '"axis" is a family of rules'],
    ['{ "limits": { "axis.aim": { "warn": "0,5 degrees" } } }', 'use a point for decimals'],
    [
      '{ "limits": { "axis.aim": { "warn": 40 } } }',
      'gives a warning from 40, but an error already from 15',
    ],
    ['{ "failing": "error" ', 'close brace expected'],
    ['{ "names": { "pattern": "{_side}{name}{_number}" } }', 'put it on the other side'],
    ['{ "names": { "pattern": "{name}_{number}{_side}" } }', 'has text outside the braces'],
    ['{ "names": { "pattern": "" } }', 'has text outside the braces'],
    [
      '{ "names": { "pattern": "{name}{_count}{_side}" } }',
      'has {_count}, which is not a known part',
    ],
    ['{ "names": { "pattern": "{name}{_side}" } }', 'lacks {number}'],
    ['{ "names": { "pattern": "{name}{_number}{_side}{_side}" } }', 'has {side} twice'],
    ['{ "names": { "pattern": "{name}{/number}{_side}" } }', 'parts with "/"'],
    ['{ "names": { "pattern": "{name_}{number}{_side}" } }', 'has a separator in {name}'],
    [
      '{ "names": { "pattern": "{name}{_number}{side}", "sides": "l/r" } }',
      'runs {name} and "l" together',
    ],
    [
      '{ "levels": { "prop.wheel": "none" } }',
      'A rule of your own is known with --with FILE alone.',
    ],
    ['{ "names": { "pattern": 7 } }', '"names" > "pattern" must be text in quotes'],
    ['{ "names": { "sides": "l/R" } }', 'Did you mean "L/R"?'],
    ['{ "names": { "digits": 0 } }', '"names" > "digits" must not be below 1'],
    ['{ "limits": { "axis.aim": { "warn": 1e999 } } }', '"warn" must not be above 1000000000'],
    ['{ "limits": { "axis.aim": { "error": 1e10 } } }', '"error" must not be above 1000000000'],
    [
      '{ "limits": { "axis.aim": { "error": "1e999 degrees" } } }',
      'line 1, column 38: "1e999 degrees" is above 1000000000 degrees; write a smaller number',
    ],
    [`{ "names": { "pattern": "${'{name}'.repeat(17)}" } }`, 'is longer than 100 letters'],
    ['{ "names": { "digits": 9 } }', '"names" > "digits" must not be above 6'],
    ['{ "names": { "digits": 1.5 } }', '"names" > "digits" must be a whole number'],
    ['{ "names": { "patern": "" } }', 'Did you mean "pattern"?'],
  ])('that reads %s is refused with a line and what is wrong', (text, message) => {
    expect(() => parse(text)).toThrow(UsageError);
    expect(() => parse(text)).toThrow(message);
    expect(() => parse(text)).toThrow(
      /^the standard house\.json is wrong at line \d+, column \d+: /,
    );
  });

  it('gives the level of a family to its rules, and lets a rule have its own', () => {
    const { levels, motion } = parse(
      '{ "levels": { "axis.up": "error", "axis": "note", "motion": "none" } }',
    );
    expect(levels.get('axis.up')).toBe('error');
    expect(levels.get('axis.aim')).toBe('note');
    expect(levels.get('skin.sum')).toBeUndefined();
    expect(motion).toBe(false);
    expect(parse('{ "levels": { "motion": "note" } }').motion).toBe(true);
  });

  it('says how names are made, what it leaves out being as in the plain pattern', () => {
    expect(parse('{ "names": {} }').wanted.names).toEqual({
      text: '{name}{_number}{_side}',
      parts: [
        { is: 'name', separator: '' },
        { is: 'number', separator: '_' },
        { is: 'side', separator: '_' },
      ],
      sides: { left: 'L', right: 'R' },
      digits: 1,
    });
    const names = '{ "pattern": "{side }{name}{.number}", "sides": "left/right", "digits": 3 }';
    expect(parse(`{ "names": ${names} }`).wanted.names).toEqual({
      text: '{side }{name}{.number}',
      parts: [
        { is: 'side', separator: ' ' },
        { is: 'name', separator: '' },
        { is: 'number', separator: '.' },
      ],
      sides: { left: 'left', right: 'right' },
      digits: 3,
    });
  });

  it('finds the line and column of a pattern that cannot be', () => {
    expect(() => parse('{\n  "names": {\n    "pattern": "wing"\n  }\n}')).toThrow(
      'line 3, column 16',
    );
  });

  it('names the line of the fault', () => {
    expect(() => parse('{\n  "failing": "error",\n  "levls": {}\n}')).toThrow('line 3, column 3');
  });

  it('with several mistakes names the place of each in one line, in the order of the text', () => {
    const text =
      '{\n"failing": "eror",\n"levels": { "axis.ip": "error" },\n"names": { "digits": 0 }\n}';
    expect(() => parse(text)).toThrow(
      /^the standard house\.json is wrong at line 2, column 12: [^\n]*"error"[^\n]* Also at line 3, column 13: [^\n]*"axis\.up"[^\n]* Also at line 4, column 22: "names" > "digits" must not be below 1\.$/,
    );
  });

  it('with more mistakes than a line has room for says so, and is told of soon', () => {
    const levels = Array.from({ length: 20_000 }, (_, at) => `"axis.wrong-${at}": "error"`);
    const text = `{ "levels": {\n${levels.join(',\n')} } }`;
    expect(() => parse(text)).toThrow(/line 2, .* Also at line 6, [^\n]* There are more errors\.$/);
    expect(() => parse(text)).not.toThrow('line 7,');
  });

  it.each([
    [
      '{ "failing": "error",\n"failing": "never" }',
      'at line 2, column 1: "failing" is given twice',
    ],
    [
      '{ "limits": { "axis.aim": { "warn": 3 },\n"axis.aim": { "warn": 4 } } }',
      'at line 2, column 1: "axis.aim" is given twice',
    ],
  ])('that reads %s is refused, since readers differ in which they take', (text, message) => {
    expect(() => parse(text)).toThrow(message);
  });

  it('with an aim axis holds every rig to it', async () => {
    const heron = build('heron', { convention: { aim: '+X', up: '+Y', mirror: 'negate-all' } });
    const { wanted } = parse('{ "conventions": { "aim": "+X", "up": "+Y" } }');
    expect(told(await checkBuilt(heron, { wanted }))).toEqual([]);
    const other = parse('{ "conventions": { "aim": "+Z", "up": "+Y" } }');
    expect(told(await checkBuilt(heron, { wanted: other.wanted }))).toContain('error axis.uniform');
  });

  it('changes the level of all findings of a rule, or leaves the rule out', async () => {
    const heron = build('heron', { convention: { aim: '+X', up: '+Y', mirror: 'negate-all' } });
    const wanted = parse('{ "conventions": { "aim": "+Z" } }').wanted;
    const noted = parse('{ "levels": { "axis.uniform": "note" } }').levels;
    const lines = told(await checkBuilt(heron, { wanted, levels: noted }));
    expect(lines).toContain('note axis.uniform');
    expect(lines).not.toContain('error axis.uniform');
    const none = parse('{ "levels": { "axis.uniform": "none" } }').levels;
    expect(told(await checkBuilt(heron, { wanted, levels: none }))).not.toContain(
      'error axis.uniform',
    );
  });
});

describe('sides under a standard with names', () => {
  const spelled = async (names: string, sideNaming: 'suffix' | 'prefix' | 'word') => {
    const { wanted } = parse(`{ "names": ${names} }`);
    return told(await checkBuilt(build('heron', { sideNaming }), { wanted }));
  };

  it('are held to its spelling, whatever most names have', async () => {
    expect(await spelled('{}', 'suffix')).toEqual([]);
    expect(await spelled('{}', 'prefix')).toEqual(['note name.side']);
    expect(await spelled('{}', 'word')).toEqual(['note name.side']);
    expect(await spelled('{ "pattern": "{side_}{name}{_number}" }', 'prefix')).toEqual([]);
    expect(await spelled('{ "sides": "l/r" }', 'suffix')).toEqual(['note name.side']);
    expect(await spelled('{ "pattern": "{name}{_number}{.side}" }', 'suffix')).toEqual([
      'note name.side',
    ]);
  });

  it('are told with the pattern and the words of the standard', async () => {
    const { wanted } = parse('{ "names": { "sides": "Left/Right" } }');
    const [finding] = (await checkBuilt(build('heron'), { wanted })).findings;
    expect(finding?.message).toMatch(
      /^\d+ joints do not name their side by the standard's "\{name\}\{_number\}\{_side\}" with Left\/Right \(none is allowed\): "wing_1_L"/,
    );
  });
});

describe('its schema', () => {
  it('is a valid JSON Schema that names every rule and every limit, and nothing else', () => {
    const schema = standardSchema(rules);
    expect(() => new Ajv({ allowUnionTypes: true, strict: false }).compile(schema)).not.toThrow();
    const text = JSON.stringify(schema);
    for (const rule of rules) expect(text).toContain(`"${rule.id}"`);
    const { properties } = schema as {
      properties: { levels: { properties: object }; limits: { properties: object } };
    };
    expect(Object.keys(properties.levels.properties).sort()).toEqual(
      [...families, ...rules.map((rule) => rule.id)].sort(),
    );
    const limited = rules
      .filter((rule) => Object.keys(rule.limits).length > 0)
      .map((rule) => rule.id);
    expect(Object.keys(properties.limits.properties).sort()).toEqual(limited.sort());
  });
});
