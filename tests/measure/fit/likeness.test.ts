import { beforeAll, describe, expect, test } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { insertOnBone } from '../../../fixtures/kit/changes.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { add, times } from '../../../fixtures/kit/vectors.js';
import type { Facts } from '../../../src/measure/facts.js';
import { likeness } from '../../../src/measure/fit/likeness.js';
import { size } from '../../../src/measure/geometry/bind-mesh.js';
import {
  classmate,
  leaveOut,
  mapAll,
  moveJoint,
  renameAll,
  TAIL,
} from '../../support/classmate.js';
import { factsOf } from '../../support/facts-of.js';

/** % of size: what numbers of 32 bits leave. */
const ROUNDING = 1e-3;

let model: Facts;
beforeAll(async () => {
  model = await factsOf(buildGlb('heron'));
});

async function likenessOf(own: Uint8Array) {
  const { rig, wanted } = await factsOf(own);
  const asset = { name: 'model.glb', model: { nodes: rig.nodes, rigs: [], clips: [] }, clips: [] };
  return likeness({
    rig,
    wanted,
    approved: { asset, rig: model.rig, by: null, unanswered: [] },
  });
}

/** What is told of a student's rig: joints that are off, in % of size, and missing branches. */
async function toldOf(...changes: ((puppet: Puppet) => void)[]) {
  const found = await likenessOf(classmate(...changes));
  if (found === null) throw new Error('it has the mesh of the model');
  const nameOf = (joint: number): string => model.rig.joints.names[joint] ?? '';
  return {
    off: Object.fromEntries(
      [...found.offs.entries()].flatMap(([joint, off]) =>
        off > ROUNDING ? [[nameOf(joint), off]] : [],
      ),
    ),
    missing: found.missing.map((joints) => joints.map(nameOf)),
    extra: found.extra.length,
  };
}

const NOTHING = { off: {}, missing: [], extra: 0 };

describe('a rig is as like the model as its joints are in place', () => {
  test.each([
    ['with the same joints', []],
    ['with names that no joint of the model has', [renameAll]],
    [
      'in centimetres, with Z up, and elsewhere',
      [renameAll, mapAll(([x, y, z]) => [100 * x + 30, 7 - 100 * z, 100 * y])],
    ],
    [
      'with one joint more in the neck',
      [
        renameAll,
        (puppet: Puppet) => void insertOnBone(puppet, 'more', 'neck_mid', 'neck_high', 0.03, true),
      ],
    ],
  ])('%s', async (_, changes) => {
    expect(await toldOf(...changes)).toEqual(NOTHING);
  });

  test.each([0.005, 0.02, 0.06])(
    'a joint moved by %d m is off by as much, whatever it is called',
    async (metres) => {
      const percent = (100 * metres) / size(model);
      const { off, missing } = await toldOf(moveJoint('shin_L', [0, 0, metres]), renameAll);
      expect(missing).toEqual([]);
      expect(Object.keys(off)).toEqual(['shin_L']);
      expect(off.shin_L).toBeCloseTo(percent, 3);
    },
  );

  test('a chain may have fewer joints, spread along the bones of the model', async () => {
    const spread = (puppet: Puppet): void => {
      const [first, second] = [puppet.joint('tail_root'), puppet.joint('tail_mid')];
      first.position = times(add(first.position, second.position), 1 / 2);
    };
    const { off, missing } = await toldOf(spread, leaveOut('tail_root', 'tail_mid'), renameAll);
    expect(missing).toEqual([]);
    // The tail of the model is a little bent.
    for (const percent of Object.values(off)) expect(percent).toBeLessThan(0.5);
  });

  test('a knee that was left out is missing, though the leg passes its place', async () => {
    const { missing } = await toldOf(leaveOut('thigh_L', 'shin_L'));
    expect(missing).toEqual([['shin_L']]);
  });

  test('a tail that was left out is one missing chain', async () => {
    expect(await toldOf(leaveOut('body', ...TAIL), renameAll)).toEqual({
      ...NOTHING,
      missing: [TAIL],
    });
  });

  test('left and right that have the names of each other are in place', async () => {
    const swap = (puppet: Puppet): void => {
      for (const joint of puppet.joints)
        joint.label = joint.name.replace(/_([LR])$/, (_, side) => (side === 'L' ? '_R' : '_L'));
    };
    expect(await toldOf(swap)).toEqual(NOTHING);
  });

  test('another mesh is not compared', async () => {
    expect(await likenessOf(buildGlb('mule'))).toBeNull();
  });
});
