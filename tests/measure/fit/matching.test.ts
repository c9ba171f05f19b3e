import { describe, expect, test } from 'vitest';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import type { Facts } from '../../../src/measure/facts.js';
import { matching } from '../../../src/measure/fit/matching.js';
import { factsOf } from '../../support/facts-of.js';
import { cardSkin, type TinyJoint, tinyGlb } from '../../support/tiny-rig.js';

/** Joints written as `name < parent`, each one unit above and aside of the one before. */
function joints(...lines: readonly (string | null)[]): TinyJoint[] {
  const names = lines.map((line) => (line === null ? null : (line.split(' < ')[0] ?? null)));
  return lines.map((line, index): TinyJoint => {
    const parent = line?.split(' < ')[1];
    const at: Vec3 = [0.1 * index, index, 0];
    const above = parent === undefined ? index - 1 : names.indexOf(parent);
    return { name: names[index] ?? null, parent: parent === 'none' ? -1 : above, at };
  });
}

async function rigOf(list: readonly TinyJoint[]): Promise<Facts> {
  return factsOf(tinyGlb(list, cardSkin(list.map(({ at }) => at))));
}

/** The joints of the rig and how they were found, in the order of the approved rig's joints. */
async function matched(approved: readonly TinyJoint[], own: readonly TinyJoint[]) {
  const [theirs, facts] = [await rigOf(approved), await rigOf(own)];
  const model = { nodes: theirs.rig.nodes, rigs: [theirs.rig], clips: [] };
  const asset = { name: 'approved.glb', model, clips: [] };
  const found = matching({
    ...facts,
    approved: { asset, rig: theirs.rig, by: null, unanswered: [] },
  });
  if (found === null) throw new Error('there is an approved rig');
  return {
    pairs: Array.from(found.ofApproved, (joint, at) => [
      theirs.rig.joints.names[at],
      facts.rig.joints.names[joint] ?? null,
      found.by[at],
    ]),
    scale: found.scale,
    back: Array.from(found.ofRig),
  };
}

describe('joints are found again', () => {
  test('by their path, though the joint that all hangs on has another name', async () => {
    const { pairs } = await matched(
      joints('body', 'spine', 'tip', 'leg < body', 'tip < leg'),
      joints('torso', 'spine', 'tip', 'leg < torso', 'tip < leg'),
    );
    expect(pairs).toEqual([
      ['body', null, null],
      ['leg', 'leg', 'path'],
      ['tip', 'tip', 'path'],
      ['spine', 'spine', 'path'],
      ['tip', 'tip', 'path'],
    ]);
  });

  test('by their name, where they hang elsewhere', async () => {
    const { pairs } = await matched(
      joints('body', 'spine', 'arm', 'hand'),
      joints('body', 'spine', 'arm < body', 'hand'),
    );
    expect(pairs.map(([name, found, by]) => [name, found, by])).toEqual([
      ['body', 'body', 'path'],
      ['spine', 'spine', 'path'],
      ['arm', 'arm', 'name'],
      ['hand', 'hand', 'name'],
    ]);
  });

  test('by a name that is theirs alone among the children, and by none that two joints have', async () => {
    const { pairs } = await matched(
      joints('body', 'thigh', 'tip', 'arm < body', 'tip < arm'),
      joints('body', 'leg', 'tip', 'wing < body', 'tip < wing'),
    );
    expect(pairs).toEqual([
      ['body', 'body', 'path'],
      ['arm', null, null],
      ['tip', null, null],
      ['thigh', null, null],
      ['tip', null, null],
    ]);
  });

  test('by their name without its prefix, however side and number are written', async () => {
    const { pairs } = await matched(
      joints('rig:body', 'rig:spine_01', 'rig:Wing_1.L', 'rig:Wing_1.R < rig:spine_01'),
      joints('heron_body', 'heron_spine1', 'heron_L_wing_01', 'heron_R_wing_01 < heron_spine1'),
    );
    expect(pairs).toEqual([
      ['rig:body', 'heron_body', 'parts'],
      ['rig:spine_01', 'heron_spine1', 'parts'],
      ['rig:Wing_1.L', 'heron_L_wing_01', 'parts'],
      ['rig:Wing_1.R', 'heron_R_wing_01', 'parts'],
    ]);
  });

  test('by a spelling that two joints have, below two that are matched', async () => {
    const { pairs } = await matched(
      joints('body', 'arm', 'Tip_01', 'leg < body', 'Tip_01 < leg'),
      joints('body', 'arm', 'tip1', 'leg < body', 'tip1 < leg'),
    );
    expect(pairs.map(([name, , by]) => [name, by])).toEqual([
      ['body', 'path'],
      ['arm', 'path'],
      ['Tip_01', 'parts'],
      ['leg', 'path'],
      ['Tip_01', 'parts'],
    ]);
  });

  test('by their place among their siblings, where none has a name', async () => {
    const { pairs, back } = await matched(joints('body', null, null), joints('body', null, null));
    expect(pairs.map(([, , by]) => by)).toEqual(['path', 'place', 'place']);
    expect(back).toEqual([0, 1, 2]);
  });
});

describe('the scale', () => {
  const own = joints('body', 'spine', 'neck', 'head');
  const larger = (by: number): TinyJoint[] =>
    own.map((joint) => ({ ...joint, at: [by * joint.at[0], by * joint.at[1], by * joint.at[2]] }));

  test('is how many times as long the bones are', async () => {
    expect((await matched(own, own)).scale).toBe(1);
    expect((await matched(own, larger(1.2))).scale).toBeCloseTo(1.2, 6);
  });

  test('is changed by neither a prop nor one long bone', async () => {
    const long = larger(100).map((joint): TinyJoint => {
      const [x, y, z] = joint.at;
      return joint.name === 'head' ? { ...joint, at: [x, y + 50, z] } : joint;
    });
    const prop: TinyJoint = { name: 'lantern', parent: 3, at: [4000, 0, 0] };
    expect((await matched(own, [...long, prop])).scale).toBeCloseTo(100, 4);
  });
});
