import { describe, expect, it } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import { isDefaultName } from '../../src/measure/names/default-name.js';
import { jointNames } from '../../src/mend/repairs/names.js';
import { type Repaired, runRepair } from './run-repair.js';

/** A character whose joints, but for some, have the names that a program gave them. */
async function nameless(
  character: CastName,
  labelOf: (name: string) => string | null,
): Promise<Repaired> {
  const puppet = raisePuppet(character);
  puppet.joints.forEach((joint, at) => {
    joint.label = labelOf(joint.name) ?? `Bone.${String(at).padStart(3, '0')}`;
  });
  return runRepair(jointNames, mainFile(buildPuppet(puppet)));
}

const given = ({ changes }: Repaired): string[] =>
  changes.map(({ after }) => /^"([^"]*)"/.exec(after)?.[1] ?? after);

/** The new names by what the kit calls the joints. */
async function named(
  character: CastName,
  kept: readonly string[],
  spelt: (name: string) => string = (name) => name,
): Promise<ReadonlyMap<string, string>> {
  const { joints } = raisePuppet(character);
  const mended = await nameless(character, (name) => (kept.includes(name) ? spelt(name) : null));
  expect([mended.remaining, mended.added]).toEqual([[], []]);
  const bySeen = new Map(mended.changes.map(({ before, after }) => [before, after]));
  return new Map(
    joints.flatMap(({ name }, at) => {
      const after = bySeen.get(`"Bone.${String(at).padStart(3, '0')}"`);
      return after === undefined ? [] : [[name, /^"([^"]*)"/.exec(after)?.[1] ?? after]];
    }),
  );
}

describe('joints that a program named', () => {
  it('are named by their role where nobody named any', async () => {
    const names = await named('heron', []);
    expect([...new Set(names.values())]).toHaveLength(names.size);
    expect([...names.values()].filter(isDefaultName)).toEqual([]);
    expect(Object.fromEntries(names)).toMatchInlineSnapshot(`
      {
        "beak_tip": "chain_1_6",
        "body": "root",
        "foot_L": "chain_4_3_L",
        "foot_R": "chain_4_3_R",
        "head": "chain_1_5",
        "neck_bend": "chain_1_2",
        "neck_high": "chain_1_4",
        "neck_low": "chain_1_1",
        "neck_mid": "chain_1_3",
        "shin_L": "chain_4_2_L",
        "shin_R": "chain_4_2_R",
        "spine_high": "spine_2",
        "spine_low": "spine_1",
        "tail_mid": "chain_3_2",
        "tail_root": "chain_3_1",
        "tail_tip": "chain_3_3",
        "thigh_L": "chain_4_1_L",
        "thigh_R": "chain_4_1_R",
        "toe_L": "chain_4_4_L",
        "toe_R": "chain_4_4_R",
        "wing_1_L": "chain_2_1_L",
        "wing_1_R": "chain_2_1_R",
        "wing_2_L": "chain_2_2_L",
        "wing_2_R": "chain_2_2_R",
        "wing_3_L": "chain_2_3_L",
        "wing_3_R": "chain_2_3_R",
        "wing_tip_L": "chain_2_4_L",
        "wing_tip_R": "chain_2_4_R",
      }
    `);
  });

  it('are named after the joint above that has a name, with the side they are on', async () => {
    const names = await named('marionette', [
      'carrier',
      'hips',
      'upper_arm_L',
      'upper_arm_R',
      'forearm_R',
    ]);
    // Its partner has a name.
    expect(names.get('forearm_L')).toBe('forearm_L');
    expect(names.get('hand_L')).toBe('forearm_2_L');
    expect(names.get('hand_R')).toBe('forearm_2_R');
    expect(names.get('thigh_L')).toMatch(/^hips_\d_L$/);
    expect(names.get('thigh_R')).toBe(names.get('thigh_L')?.replace('_L', '_R'));
  });

  it('spell sides as the rig does', async () => {
    const spelt = (name: string): string =>
      name.endsWith('_L') ? `left-${name.slice(0, -2)}` : `right-${name.slice(0, -2)}`;
    const names = await named('heron', ['thigh_L', 'thigh_R'], spelt);
    expect([names.get('shin_L'), names.get('shin_R')]).toEqual(['left-thigh_2', 'right-thigh_2']);
  });

  it('get the same names at every mend, and none is changed again', async () => {
    const once = await nameless('stag-beetle', () => null);
    const twice = await nameless('stag-beetle', () => null);
    expect(given(twice)).toEqual(given(once));
    const again = await runRepair(jointNames, once.bytes);
    expect(again.changes).toEqual([]);
    expect(Buffer.compare(again.bytes, once.bytes)).toBe(0);
  });

  it('get no name that another node has', async () => {
    const puppet = raisePuppet('heron');
    puppet.joint('body').label = 'joint1';
    puppet.edits.push((json) => {
      json.scenes[0]?.nodes.push(json.nodes.push({ name: 'root' }) - 1);
    });
    const mended = await runRepair(jointNames, mainFile(buildPuppet(puppet)));
    expect(given(mended)).toEqual(['root_2']);
  });
});
