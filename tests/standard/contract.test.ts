import { describe, expect, it, test } from 'vitest';
import { build } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { UsageError } from '../../src/asset/errors.js';
import { familiesRun } from '../../src/check/make-report.js';
import {
  defaultSettings,
  plainSettings,
  rulesToRun,
  settingsDigest,
  settingsFromPlain,
} from '../../src/check/settings.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { checkBuilt, told } from '../support/check-built.js';
import { readPage } from '../support/docs/read-page.js';

const parse = (text: string) => parseStandard(text, 'house.json', rules).settings;
const contract = (written: object) => parse(JSON.stringify({ contract: written }));

/** What all puppets of the theatre keep to. */
const THEATRE = {
  conventions: { unit: 'm' },
  names: { checked: 'all' },
  contract: {
    joints: { required: ['*_L', '*_R'], forbidden: ['ctrl_*', '*.*'], most: 200 },
    clips: { most: 20, rate: 60, names: ['[a-z]*'] },
    height: { from: 0.1, to: 3 },
    vertical: '+Y',
    facing: '+Z',
  },
};

describe('a contract', () => {
  it('is read, lengths with the unit of the assets beside them', () => {
    const text = `{
      "conventions": { "unit": "cm" },
      "names": { "checked": "all" },
      "contract": {
        "joints": { "required": ["root"], "forbidden": ["ctrl_*"], "most": 120 },
        "clips": { "required": ["wade"], "names": ["w?de"], "rate": 29.97, "most": 0 },
        "height": { "from": 1.2, "to": 2 }, // in metres
        "vertical": "+Y", "facing": "-Z",
      } }`;
    const { contract: read } = parse(text).wanted;
    expect(read).toEqual({
      joints: {
        required: [{ text: 'root', expression: null }],
        forbidden: [{ text: 'ctrl_*', expression: expect.stringContaining('ctrl_') }],
        most: 120,
      },
      clips: {
        required: [{ text: 'wade', expression: null }],
        names: [{ text: 'w?de', expression: expect.stringContaining('w') }],
        rate: 29.97,
        most: 0,
      },
      allNames: true,
      height: { from: 1.2, to: 2, unit: 'm', assetUnit: 'cm' },
      vertical: { index: 1, sign: 1 },
      facing: { index: 2, sign: -1 },
    });
  });

  it.each(['{ "contract": {} }', '{ "contract": { "joints": {}, "clips": { "names": [] } } }'])(
    'that asks for nothing (%s) has no rule judged',
    (text) => {
      expect(familiesRun(parse(text))).toEqual(familiesRun(defaultSettings(rules)));
    },
  );

  it.each([
    ['{ "contract": [] }', '"contract" must be an object in braces'],
    ['{ "contract": { "joint": {} } }', 'has no key "joint". Did you mean "joints"?'],
    ['{ "contract": { "joints": { "required": "root" } } }', 'must be a list in brackets: [ ... ]'],
    [
      '{ "contract": { "joints": { "required": [7] } } }',
      '"required" > "0" must be text in quotes',
    ],
    ['{ "contract": { "joints": { "required": [""] } } }', 'is empty; write a name, or remove it'],
    [
      `{ "contract": { "joints": { "required": ${JSON.stringify(Array(501).fill('a'))} } } }`,
      'has more than 500 entries; use patterns with * to write fewer',
    ],
    [
      '{ "contract": { "joints": { "forbidden": ["leg_[lr"] } } }',
      'column 43: the pattern has a bracket that is not closed',
    ],
    [
      '{ "contract": { "clips": { "names": ["*a*b*c*"] } } }',
      'the pattern has 4 stars and braces in one name (limit 3)',
    ],
    ['{ "contract": { "joints": { "most": -1 } } }', '"most" must not be below 0'],
    ['{ "contract": { "joints": { "most": 1.5 } } }', '"most" must be a whole number'],
    ['{ "contract": { "clips": { "rate": 0 } } }', '"rate" must be above 0'],
    ['{ "contract": { "clips": { "rate": 1e999 } } }', '"rate" must not be above 10000'],
    ['{ "contract": { "height": { "from": 1 } } }', '"height" lacks "to"; add it'],
    [
      '{ "contract": { "height": { "from": 2, "to": 1 } } }',
      '"from" (2 m) is above "to" (1 m); write the smaller height first',
    ],
    [
      '{ "contract": { "height": { "from": 2, "to": 3, "unit": "metres" } } }',
      'Known: m, cm, mm, in, ft',
    ],
    ['{ "contract": { "facing": "Z" } }', 'Did you mean "+Z"?'],
    [
      '{ "contract": { "vertical": "+Y", "facing": "-Y" } }',
      'a rig cannot look along its vertical (+Y); write another direction',
    ],
    ['{ "names": { "checked": "some" } }', 'Known: sides, all'],
    [
      '{ "points": { "axis": 5, "house": 5 } }',
      '"points" > "house" is 5, but the standard asks for nothing that house.* checks; write a contract, or give it 0',
    ],
    ['{ "without": "drafts" }', '"without" must be a list in brackets: [ ... ]'],
    ['{ "without": [""] }', 'is empty; write a name, or remove it'],
  ])('that reads %s is refused with a line and what is wrong', (text, message) => {
    expect(() => parse(text)).toThrow(UsageError);
    expect(() => parse(text)).toThrow(message);
    expect(() => parse(text)).toThrow(
      /^the standard house\.json is wrong at line \d+, column \d+: /,
    );
  });

  it('has only those rules judged that it asks for', async () => {
    const asked = contract({ joints: { most: 3 }, clips: { most: 0 } });
    const report = await checkBuilt(build('heron'), asked);
    expect(told(report)).toEqual(['warning house.clips', 'warning house.joints']);
    const measured = report.rigs[0]?.measured.map(({ rule }) => rule) ?? [];
    expect(measured.filter((rule) => rule.startsWith('house.'))).toEqual(['house.joints']);
  });

  it('leaves out a rule that the standard switches off, and takes its levels', async () => {
    const text = `{ "contract": { "joints": { "most": 3 }, "clips": { "most": 0 } },
      "levels": { "house.clips": "none", "house.joints": "error" } }`;
    expect(told(await checkBuilt(build('heron'), parse(text)))).toEqual(['error house.joints']);
  });

  it('is the same once it has been sent to another process, and is part of what a report is known by', async () => {
    const settings = parse(JSON.stringify(THEATRE));
    const sent: ReturnType<typeof plainSettings> = JSON.parse(
      JSON.stringify(plainSettings(settings)),
    );
    expect(settingsFromPlain(sent, rules).wanted).toEqual(settings.wanted);
    const digests = [{ most: 3 }, { most: 4 }].map((joints) =>
      settingsDigest(plainSettings(contract({ joints }))),
    );
    expect(digests[0]).not.toBe(digests[1]);
  });

  test.each(castNames)('of the whole theatre is kept by the %s', async (name) => {
    const report = await checkBuilt(build(name), parse(JSON.stringify(THEATRE)));
    expect([report.unreadable, told(report)]).toEqual([null, []]);
    const judged = report.rigs.flatMap(({ measured }) => measured);
    expect(
      judged.filter(({ rule, kind }) => rule.startsWith('house.') && kind === 'judged').length,
    ).toBeGreaterThanOrEqual(6);
  });
});

describe('the contract that the page of standards shows', () => {
  const [, text = ''] =
    /<!-- example: contract\.json -->\s+```jsonc\n([\s\S]*?)```/.exec(
      readPage('docs/standard.md'),
    ) ?? [];
  const { settings } = parseStandard(text, 'contract.json', rules);

  it('asks for everything that a contract can ask for', () => {
    expect([...rulesToRun(settings)].filter(({ family }) => family === 'house')).toEqual(
      rules.filter(({ family }) => family === 'house'),
    );
  });

  it('is kept by a heron in centimetres, and by one in metres but for its height', async () => {
    expect(told(await checkBuilt(build('heron', { unitScale: 100 }), settings))).toEqual([]);
    expect(told(await checkBuilt(build('heron'), settings))).toEqual(['error house.height']);
  });
});

it('points are for a family that the contract asks for', () => {
  const text = '{ "points": { "house": 5 }, "contract": { "clips": { "most": 3 } } }';
  expect(parseStandard(text, 'house.json', rules).points).toEqual({ house: 5 });
});

describe('topmost joints and influences', () => {
  const joints = (written: object, more: object = {}) =>
    parse(JSON.stringify({ contract: { joints: written }, ...more }));

  it('are told by the rules that every rig is held to, once, by the numbers of the contract', async () => {
    const settings = joints({ roots: 1, influences: 1 });
    expect(rulesToRun(settings).filter(({ family }) => family === 'house')).toEqual([]);
    expect(told(await checkBuilt(build('heron'), settings))).toEqual(['warning skin.budget']);
    const legs = build('heron', { faults: [faultNamed('scattered-legs')] });
    expect(told(await checkBuilt(legs, joints({ roots: 1 })))).toContain('error root.single');
    const [only] = (await checkBuilt(legs, joints({ roots: 1 }))).findings.filter(
      ({ rule }) => rule === 'root.single',
    );
    const most = only?.measured ?? 0;
    expect(most).toBeGreaterThan(1);
    expect(told(await checkBuilt(legs, joints({ roots: most })))).not.toContain(
      'error root.single',
    );
  });

  it('have the level that the house gives them, of the rule or of its family', async () => {
    for (const [levels, level] of [
      [{ 'skin.budget': 'error' }, 'error'],
      [{ skin: 'note' }, 'note'],
    ] as const)
      expect(told(await checkBuilt(build('heron'), joints({ influences: 1 }, { levels })))).toEqual(
        [`${level} skin.budget`],
      );
  });

  it('are given in one place of a file', () => {
    const limits = { 'root.single': { joints: 2 }, 'skin.budget': { influences: 4 } };
    expect(() => joints({ influences: 4 }, { limits })).toThrow(
      '"contract" > "joints" > "influences" and "limits" > "skin.budget" > "influences" are one limit; remove one of them',
    );
    const both = joints({ influences: 2, most: 9 }, { limits: { 'skin.budget': { joints: 60 } } });
    expect(both.limits.get('skin.budget')).toEqual({ joints: 60, influences: 2 });
    expect(both.wanted.contract).toEqual({ joints: { most: 9 } });
  });

  it('are one at least', () => {
    expect(() => joints({ roots: 0 })).toThrow('must not be below 1');
  });
});
