import { describe, expect, it, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { GltfJson } from '../../fixtures/kit/gltf-json.js';
import { sideOfName } from '../../src/measure/names/sides.js';
import {
  commonSpelling,
  otherSide,
  respell,
  type SpeltName,
  spell,
} from '../../src/mend/names/side-spelling.js';
import { renamesOf } from '../../src/mend/renames.js';
import { jointNames } from '../../src/mend/repairs/names.js';
import { splitGlb } from '../fixtures/read-back.js';
import { type Repaired, runRepair } from './run-repair.js';

/** A character with other names written for some joints: by the kit's name, null for none. */
async function named(
  character: CastName,
  labels: Readonly<Record<string, string | null>>,
  edit: (json: GltfJson) => void = () => undefined,
): Promise<Repaired> {
  const puppet = raisePuppet(character);
  for (const [joint, label] of Object.entries(labels)) puppet.joint(joint).label = label;
  puppet.edits.push(edit);
  return runRepair(jointNames, mainFile(buildPuppet(puppet)));
}

/** Names that a mend gave, by the name it found. */
const given = ({ changes }: Repaired): string[] =>
  changes.map(({ before, after }) => `${before} -> ${after}`);

const renames = ({ before, after }: Repaired): [string, string][] =>
  renamesOf(before, after)
    .flatMap(({ places }) => places)
    .filter(({ kind }) => kind === 'joint')
    .map(({ old, now }) => [old, now]);

describe('joints without a name', () => {
  it('are named after the joint above, a run of them counting on from it', async () => {
    const mended = await named('heron', { neck_mid: null, neck_high: null });
    expect(given(mended)).toEqual(['no name -> "neck_bend_2"', 'no name -> "neck_bend_3"']);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('take a number that no node of the file has, joint or not', async () => {
    const mended = await named('heron', { neck_mid: null, beak_tip: 'neck_bend_2' }, (json) => {
      json.scenes[0]?.nodes.push(json.nodes.push({ name: 'neck_bend_3' }) - 1);
    });
    expect(given(mended)).toEqual(['no name -> "neck_bend_4"']);
  });

  it('keep the side at the end of the name they are given', async () => {
    const mended = await named('heron', { toe_L: null, toe_R: null });
    expect(given(mended)).toEqual(['no name -> "foot_2_L"', 'no name -> "foot_2_R"']);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('of white space only are without one, and a topmost one is the root', async () => {
    const mended = await named('heron', { body: '  ' });
    expect(given(mended)).toEqual(['no name -> "root"']);
    expect(mended.remaining).toEqual([]);
  });
});

it('a rig without any name has one root, and chains that tell their joints in order', async () => {
  const labels = Object.fromEntries(raisePuppet('heron').joints.map(({ name }) => [name, null]));
  const mended = await named('heron', labels);
  const names = mended.changes.map(({ after }) => /^"([^"]*)"/.exec(after)?.[1] ?? after);
  expect(names.filter((name) => name.startsWith('root'))).toEqual(['root']);
  expect(names).toEqual(
    expect.arrayContaining(['spine_1', 'chain_1_1_L', 'chain_1_2_L', 'chain_2_1', 'chain_2_2']),
  );
  expect(mended.remaining).toEqual([]);
});

describe('joints of one name', () => {
  it('but for the first take a number each', async () => {
    const mended = await named('heron', { neck_mid: 'neck_bend', neck_high: 'neck_bend' });
    expect(given(mended)).toEqual(['"neck_bend" -> "neck_bend_2"', '"neck_bend" -> "neck_bend_3"']);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('keep it where an extension speaks of it by name', async () => {
    const mended = await named('heron', { neck_mid: 'neck_bend' }, (json) => {
      Object.assign(json, { extensions: { EXAMPLE_lamps: { hang: ['neck_bend'] } } });
    });
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ why }) => why)).toEqual([
      'an extension or extras refer to it by its name',
    ]);
  });
});

describe('sides', () => {
  it('are spelt as most of the rig spells them, the partner alike', async () => {
    const mended = await named('heron', { toe_R: 'right_toe', shin_L: 'LeftShin' });
    expect(given(mended).sort()).toEqual(['"LeftShin" -> "shin_L"', '"right_toe" -> "toe_R"']);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('are spelt so on both of a pair', async () => {
    const mended = await named('heron', { toe_R: 'right_toe', toe_L: 'left_toe' });
    expect(given(mended).sort()).toEqual(['"left_toe" -> "toe_L"', '"right_toe" -> "toe_R"']);
    expect([mended.remaining, mended.added]).toEqual([[], []]);
  });

  it('follow words at the front where most are so', async () => {
    const bytes = buildGlb('heron', { sideNaming: 'word' });
    const puppet = raisePuppet('heron');
    puppet.joint('toe_R').label = 'toe_R';
    const mended = await runRepair(
      jointNames,
      mainFile(buildPuppet(puppet, { sideNaming: 'word' })),
    );
    const asBuilt = splitGlb(bytes).json.nodes.map(({ name }) => name);
    expect(splitGlb(mended.bytes).json.nodes.map(({ name }) => name)).toEqual(asBuilt);
    expect(mended.changes).toHaveLength(1);
  });

  it('stay where the name they would take is taken', async () => {
    const mended = await named('heron', { toe_R: 'right_toe' }, (json) => {
      json.scenes[0]?.nodes.push(json.nodes.push({ name: 'toe_R' }) - 1);
    });
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ why }) => why)).toEqual(['another node is named "toe_R"']);
  });
});

describe('a name taken apart', () => {
  const spelt = (name: string): SpeltName => {
    const found = spell(name);
    if (found === null) throw new Error(`${name} tells no side`);
    return found;
  };
  const like = (...names: string[]) => {
    const all = names.map(spelt);
    return commonSpelling(all, all[0]?.style ?? 'letter-last');
  };

  test.each([
    ['right_toe', ['foot_L', 'shin_R'], 'toe_R'],
    ['RightToe', ['footL', 'shinR'], 'ToeR'],
    ['toe.r', ['left-foot', 'right-shin'], 'right-toe'],
    ['toe_R', ['LeftFoot', 'RightShin'], 'RightToe'],
    ['arm_L_upper', ['foot.l', 'shin.r'], 'arm_upper.l'],
    ['leftarm', ['foot_L', 'shin_R'], 'arm_L'],
    ['toe_R', ['LFoot', 'RShin'], 'RToe'],
  ])('%s as %j are is %s', (name, others, wanted) => {
    expect(respell(spelt(name), like(...others))).toBe(wanted);
    expect(sideOfName(wanted)?.side).toBe(spelt(name).side);
  });

  it('is not put together where most have the side in the middle', () => {
    expect(respell(spelt('toe_R'), like('foot_L_front', 'foot_R_front'))).toBeNull();
  });

  test.each([
    ['toe_L', 'toe_R'],
    ['RightToe', 'LeftToe'],
    ['LEFT toe', 'RIGHT toe'],
    ['arm_l_2', 'arm_r_2'],
  ])('%s has %s for its other side', (name, other) => {
    expect(otherSide(spelt(name))).toBe(other);
  });
});

describe('the map of what was renamed', () => {
  it('holds the path of every joint that has another, the ones below too', async () => {
    const mended = await named('heron', { toe_R: 'right_toe', foot_R: 'RightFoot' });
    expect(renames(mended).sort()).toEqual([
      ['body/thigh_R/shin_R/RightFoot', 'body/thigh_R/shin_R/foot_R'],
      ['body/thigh_R/shin_R/RightFoot/right_toe', 'body/thigh_R/shin_R/foot_R/toe_R'],
    ]);
  });

  it('is empty where nothing was', async () => {
    expect(renames(await named('heron', {}))).toEqual([]);
  });
});

it('clips and skin go on as they were under other names', async () => {
  const mended = await named('heron', { neck_mid: null, toe_R: 'right_toe' });
  expect(mended.moved).toBe(0);
  const { json } = splitGlb(mended.bytes);
  const sound = splitGlb(buildGlb('heron')).json;
  expect([json.animations, json.skins]).toEqual([sound.animations, sound.skins]);
});
