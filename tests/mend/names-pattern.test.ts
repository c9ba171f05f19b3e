import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faults } from '../../fixtures/faults/index.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import { rules } from '../../rules/index.js';
import { followsPattern, type NamePattern, nameBy } from '../../src/measure/names/name-pattern.js';
import { sideOfName } from '../../src/measure/names/sides.js';
import { mendAsset } from '../../src/mend/mend-asset.js';
import { Naming, TakenNames } from '../../src/mend/names/naming.js';
import { jointNames } from '../../src/mend/repairs/names.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { namesFrom, parseStandard } from '../../src/standard/read-standard.js';
import { rigOf } from '../support/facts-of.js';
import { BOLD } from './asked.js';
import { type Repaired, runRepair } from './run-repair.js';

interface Names {
  readonly pattern?: string;
  readonly sides?: string;
  readonly digits?: number;
}

const settingsWith = (names: Names) =>
  parseStandard(JSON.stringify({ names }), 'house.json', rules).settings;

function patternOf(names: Names): NamePattern {
  const { names: pattern } = settingsWith(names).wanted;
  if (pattern === undefined) throw new Error('there is no pattern');
  return pattern;
}

/** A character with other names written for some joints, mended by a house's pattern. */
async function named(
  names: Names,
  character: CastName,
  labels: Readonly<Record<string, string | null>>,
): Promise<Repaired> {
  const puppet = raisePuppet(character);
  for (const [joint, label] of Object.entries(labels)) puppet.joint(joint).label = label;
  return runRepair(jointNames, mainFile(buildPuppet(puppet)), settingsWith(names));
}

const given = ({ changes }: Repaired): string[] =>
  changes.map(({ before, after }) => `${before} -> ${after}`);

describe('by a pattern of the standard', () => {
  it('joints without a name take that of the joint above, with number and side', async () => {
    const mended = await named({ digits: 2 }, 'heron', { toe_L: null, toe_R: null });
    expect(given(mended)).toEqual(['no name -> "foot_02_L"', 'no name -> "foot_02_R"']);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('a run of them counts on from the number that is there', async () => {
    const mended = await named({ digits: 3 }, 'heron', {
      neck_bend: 'neck_04',
      neck_mid: null,
      neck_high: null,
    });
    expect(given(mended)).toEqual(['no name -> "neck_005"', 'no name -> "neck_006"']);
  });

  it('one of a pair takes the name of the other', async () => {
    const mended = await named({}, 'heron', { toe_L: null });
    expect(given(mended)).toEqual(['no name -> "toe_L"']);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('joints with a name that a program gave are named like those without', async () => {
    const mended = await named({}, 'heron', { neck_mid: 'joint12', toe_R: 'Bone.004' });
    expect(given(mended)).toEqual([
      '"joint12" -> "neck_bend_2", which says only where the joint is',
      '"Bone.004" -> "toe_R", which says only where the joint is',
    ]);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('and by their role where no joint above has a name that a person gave', async () => {
    const mended = await named({ digits: 2 }, 'heron', {
      body: 'joint1',
      thigh_L: 'joint2',
      thigh_R: 'joint3',
      shin_L: 'joint4',
      shin_R: 'joint5',
    });
    const where = ', which says only where the joint is';
    expect(given(mended)).toEqual([
      `"joint1" -> "root"${where}`,
      `"joint2" -> "chain_01_L"${where}`,
      `"joint3" -> "chain_01_R"${where}`,
      `"joint4" -> "chain_02_L"${where}`,
      `"joint5" -> "chain_02_R"${where}`,
    ]);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('two of a pair that share a name take a side each', async () => {
    const mended = await named({}, 'heron', { toe_L: 'toe', toe_R: 'toe' });
    expect(given(mended).sort()).toEqual(['"toe" -> "toe_L"', '"toe" -> "toe_R"']);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('other joints of one name take a number where the pattern has it', async () => {
    const mended = await named({ pattern: '{name}{-number}{_side}', digits: 2 }, 'heron', {
      neck_mid: 'neck_bend',
      neck_high: 'neck_bend',
    });
    expect(given(mended)).toEqual([
      '"neck_bend" -> "neck_bend-02"',
      '"neck_bend" -> "neck_bend-03"',
    ]);
  });

  it('sides go where the pattern has them, in its words, with the numbers that were there', async () => {
    const pattern = { pattern: '{side }{name}{_number}', sides: 'left/right' };
    const mended = await named(pattern, 'heron', {});
    expect(given(mended)).toContain('"wing_1_L" -> "left wing_1"');
    expect(given(mended)).toContain('"toe_R" -> "right toe"');
    expect([mended.remaining, mended.added]).toEqual([[], []]);
    const sided = mended.after.rigs[0]?.joints.names.filter((name) => sideOfName(name) !== null);
    expect(sided?.every((name) => followsPattern(patternOf(pattern), name))).toBe(true);
  });

  it('a side is spelt as its partner is, where that one is as the standard has it', async () => {
    const mended = await named({}, 'heron', { wing_1_R: 'wing-1-right' });
    expect(given(mended)).toEqual(['"wing-1-right" -> "wing_1_R"']);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('a name that an extension speaks of stays, and so does one that another node has', async () => {
    const puppet = raisePuppet('heron');
    puppet.joint('toe_R').label = 'right_toe';
    puppet.joint('neck_mid').label = 'neck_bend';
    puppet.edits.push((json) => {
      json.scenes[0]?.nodes.push(json.nodes.push({ name: 'toe_R' }) - 1);
      Object.assign(json, { extensions: { EXAMPLE_lamps: { hang: ['neck_bend'] } } });
    });
    const mended = await runRepair(jointNames, mainFile(buildPuppet(puppet)), settingsWith({}));
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ why }) => why)).toEqual([
      'another node is named "toe_R"',
      'an extension or extras refer to it by its name',
    ]);
  });

  it('a name that is not found at fault stays, whatever the pattern', async () => {
    const mended = await named({ pattern: '{name}{.number}{_side}', digits: 4 }, 'heron', {});
    expect([mended.changes, mended.left]).toEqual([[], []]);
  });

  it('a side without a partner is left, and told why', async () => {
    const mended = await named({}, 'mule', { tail_mid: 'tail_mid_L' });
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ why }) => why)).toEqual([
      'only a person knows whether it has a side, and which joint is its partner',
    ]);
  });
});

describe('a name made by a pattern', () => {
  test.each<[Names, string, string | null, 'left' | 'right' | null, string | null]>([
    [{}, 'wing', '2', 'left', 'wing_2_L'],
    [{}, 'wing', null, 'right', 'wing_R'],
    [{}, 'spine', '2', null, 'spine_2'],
    [{ pattern: '{side_}{name}{_number}' }, 'wing', '2', 'left', 'L_wing_2'],
    [{ pattern: '{side }{name}{ number}', sides: 'left/right' }, 'wing', null, 'left', 'left wing'],
    [{ pattern: '{side}{name}{number}', sides: 'Left/Right' }, 'wing', '2', 'right', 'RightWing2'],
    [{ pattern: '{side}{name}{number}' }, 'wing', '2', null, 'wing2'],
    [{ pattern: '{number.}{name}{-side}', sides: 'l/r' }, 'wing', '07', 'left', '07.wing-l'],
    [{ pattern: '{name}{number}{side}' }, 'wing', null, 'right', 'wingR'],
    // Read as IKL, which tells no side.
    [{ pattern: '{name}{_number}{side}' }, 'armIK', null, 'left', null],
    // Two sides in one name tell none.
    [{}, 'left_wing', null, 'right', null],
  ])('%j of %s, %s, %s is %s', (names, stem, number, side, wanted) => {
    expect(nameBy(patternOf(names), { stem, number, side })).toBe(wanted);
  });

  test.each<[Names, string, boolean]>([
    [{}, 'wing_L', true],
    [{}, 'wing_02_L', true],
    [{}, 'wing_L_02', false],
    [{}, 'wing__L', false],
    [{}, 'wing.L', false],
    [{}, 'wing_l', false],
    [{}, 'L_wing', false],
    [{}, `${'wing_'.repeat(60)}L`, false],
    [{ pattern: '{name}{_side}{_number}' }, 'wing_L_02', true],
    [{ pattern: '{name}{_side}{_number}' }, 'wing_02_L', true],
    [{ pattern: '{name}{.side}{_number}' }, 'wingxL', false],
    [{ pattern: '{side-}{name}{_number}' }, 'R-wing', true],
    [{ pattern: '{side}{name}{number}', sides: 'Left/Right' }, 'LeftWing', true],
    [{ pattern: '{side}{name}{number}', sides: 'Left/Right' }, 'Left_Wing', false],
  ])('%j has %s: %s', (names, name, wanted) => {
    expect(followsPattern(patternOf(names), name)).toBe(wanted);
  });

  it('tells its side to the measures and follows the pattern, whatever it is made of', () => {
    const separator = fc.constantFrom('', '_', '-', '.', ' ');
    const patterns = fc
      .record({
        order: fc.constantFrom('nds', 'nsd', 'dns', 'snd', 'sdn', 'dsn'),
        forNumber: separator,
        forSide: separator,
        sides: fc.constantFrom('L/R', 'l/r', 'left/right', 'Left/Right', 'LEFT/RIGHT'),
      })
      .map(({ order, forNumber, forSide, sides }) => {
        const middle = order.indexOf('n');
        const parts = [...order].map((letter, place) => {
          if (letter === 'n') return '{name}';
          const [word, own] = letter === 'd' ? ['number', forNumber] : ['side', forSide];
          return place < middle ? `{${word}${own}}` : `{${own}${word}}`;
        });
        return { pattern: parts.join(''), sides };
      })
      .filter(({ pattern, sides }) => {
        const runs = /\{name\}(\{.?number\})?\{side\}/.test(pattern);
        return !runs || !/^l(eft)?\//.test(sides);
      });
    const stems = fc.constantFrom('wing', 'Wing', 'upper_arm', 'tail 2', 'Fühler', 'IK', 'x');
    let made = 0;
    fc.assert(
      fc.property(patterns, stems, fc.constantFrom('left', 'right'), (names, stem, side) => {
        const pattern = namesFrom(names, (_, message) => {
          throw new Error(message);
        });
        for (const number of [null, '3']) {
          const name = nameBy(pattern, { stem, number, side });
          if (name === null) continue;
          made++;
          expect(sideOfName(name)?.side).toBe(side);
          expect(followsPattern(pattern, name)).toBe(true);
        }
      }),
      { seed: 7, numRuns: 300 },
    );
    // Not all of them null.
    expect(made).toBeGreaterThan(400);
  });
});

describe('mended twice', () => {
  let folder = '';
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'names-'));
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  const patterns: Names[] = [
    {},
    { pattern: '{side_}{name}{number}', sides: 'Left/Right', digits: 2 },
    { pattern: '{number-}{name}{.side}', sides: 'l/r' },
  ];
  const own = faults.filter(({ rule }) => rule.startsWith('name.'));

  it.each(own.flatMap((fault) => patterns.map((names) => ({ fault, names, title: fault.name }))))(
    '$title by $names is as mended once, to the byte',
    async ({ fault, names }) => {
      const settings = settingsWith(names);
      const mend = async (bytes: Uint8Array) => {
        const path = join(folder, 'puppet.glb');
        writeFileSync(path, bytes);
        return mendAsset(path, settings, REPAIRS, { also: BOLD });
      };
      const once = await mend(buildGlb(fault.puppet, { faults: [fault] }));
      const twice = await mend(once.files.main);
      expect(twice.changes).toEqual([]);
      expect(Buffer.compare(once.files.main, twice.files.main)).toBe(0);
      const rest = once.after.findings.filter(({ rule }) => rule.startsWith('name.'));
      const isLeft = [
        'side-without-partner',
        'thumbs-of-the-other-side',
        'arms-of-the-other-side',
      ].includes(fault.name);
      expect(rest.map(({ rule }) => rule)).toEqual(isLeft ? ['name.side'] : []);
    },
  );
});

describe('thousands of joints of one name', () => {
  /** Names asked about, in all. */
  const asked = async (count: number): Promise<number> => {
    let looks = 0;
    const names = new (class extends TakenNames {
      override has(name: string): boolean {
        looks++;
        return super.has(name);
      }
    })(['lantern']);
    const rig = await rigOf(buildGlb('heron'));
    const naming = new Naming(rig, names, new Set());
    for (let time = 0; time < count; time++)
      naming.rename('name.duplicate', 0, naming.numbered('lantern'));
    expect(names.size).toBe(count + 1);
    return looks;
  };

  it('are numbered with two looks at most for each', async () => {
    expect(await asked(1000)).toBeLessThanOrEqual(2000);
    expect(await asked(8000)).toBeLessThanOrEqual(16_000);
  });
});
