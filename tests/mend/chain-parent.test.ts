// Source: three.js (npm `three`) for where vertices stand before and after, see `skins-in-three.ts`. That a limb
// hangs on what its flesh grows from is common practice.
import { expect, test } from 'vitest';
import { faultNamed } from '../../fixtures/faults/index.js';
import { chainParent } from '../../src/mend/repairs/chain-parent.js';
import { multiplyQuaternions } from '../../src/rig/quaternion.js';
import { splitGlb } from '../fixtures/read-back.js';
import { rigOf } from '../support/facts-of.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { type Dresser, dressed } from './dressed.js';
import { farthestSkin } from './skins-in-three.js';

/** What a mend may move. Share of the figure's reach. */
const SAME = 1e-5;

function astray(dress?: (dresser: Dresser) => void): Uint8Array {
  const fault = faultNamed('thighs-on-the-carrier');
  return dressed(fault.puppet, (puppet) => fault.apply(puppet, fault.failing), dress);
}

async function parentOf(bytes: Uint8Array, name: string): Promise<string | undefined> {
  const { joints } = await rigOf(bytes);
  return joints.names[joints.parent[joints.names.indexOf(name)] ?? -1];
}

/** Turns the hips by quarters and the left thigh another way, so that none follows the other. */
function sway(dresser: Dresser): void {
  const half = Math.SQRT1_2;
  for (const [joint, turns] of [
    ['hips', [0, 0, 0, 1, half, 0, 0, half, 0, 0, 0, 1]],
    ['thigh_L', [0, 0, 0, 1, 0, 0.6, 0, 0.8, 0, half, 0, half]],
  ] as const) {
    const output = dresser.accessor(Float32Array.from(turns), 'VEC4');
    dresser.key(dresser.named(joint), 'rotation', [0, 0.7, 1.3], output, 'LINEAR');
  }
}

/** Turns both thighs and the hips alike, so that nothing but the way between them changes. */
function turnAlike(dresser: Dresser): void {
  for (const joint of ['hips', 'thigh_L', 'thigh_R']) {
    const [x = 0, y = 0, z = 0, w = 1] = dresser.node(joint).rotation ?? [];
    const turns = [0, Math.SQRT1_2, 1].flatMap((sine) =>
      multiplyQuaternions([sine, 0, 0, Math.sqrt(1 - sine * sine)], [x, y, z, w]),
    );
    const output = dresser.accessor(Float32Array.from(turns), 'VEC4');
    dresser.key(dresser.named(joint), 'rotation', [0, 0.7, 1.3], output, 'LINEAR');
  }
}

const bare = ({ json }: Dresser): void => {
  delete json.animations;
};

test('both thighs hang on the hips and stay where they were', async () => {
  const bytes = astray(bare);
  const mended = await applyRepair(bytes, chainParent);
  expect(mended.changes).toEqual([
    {
      rule: 'chain.parent',
      place: 'carrier/thigh_L',
      before: 'hung on "carrier"',
      after: 'hung on "hips", in its place',
    },
    {
      rule: 'chain.parent',
      place: 'carrier/thigh_R',
      before: 'hung on "carrier"',
      after: 'hung on "hips", in its place',
    },
  ]);
  expect(await findingsOf(mended.bytes)).toEqual([]);
  expect(await parentOf(mended.bytes, 'thigh_R')).toBe('hips');
  expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  expect((await applyRepair(mended.bytes, chainParent)).changes).toEqual([]);
});

test('clips that turn hips and thighs differently are followed by new curves', async () => {
  const bytes = astray((dresser) => {
    bare(dresser);
    sway(dresser);
  });
  const mended = await applyRepair(bytes, chainParent);
  expect(mended.changes[0]?.after).toMatch(
    /with new curves for "thigh_L" and "thigh_R" in the clip/,
  );
  expect(mended.shift).toBeLessThan(SAME);
  expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
});

test('curves are as near in a rig that is built in other units than the world', async () => {
  const bytes = astray((dresser) => {
    bare(dresser);
    turnAlike(dresser);
    const carrier = dresser.named('carrier');
    const giant =
      dresser.nodes.push({ name: 'giant', scale: [300, 300, 300], children: [carrier] }) - 1;
    for (const scene of dresser.json.scenes ?? [])
      Object.assign(scene, {
        nodes: scene.nodes?.map((node) => (node === carrier ? giant : node)),
      });
    for (const node of dresser.nodes.slice(0, giant))
      if (node.children?.includes(carrier))
        node.children = node.children.map((child) => (child === carrier ? giant : child));
  });
  const mended = await applyRepair(bytes, chainParent);
  expect(mended.changes).toHaveLength(2);
  expect(mended.shift).toBeLessThan(2e-6);
  expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
});

test('what exporters leave of a scale of 1 keeps no curve from being followed', async () => {
  const bytes = astray((dresser) => {
    bare(dresser);
    sway(dresser);
    dresser.node('hips').scale = [1, 0.999992, 0.999996];
  });
  const mended = await applyRepair(bytes, chainParent);
  expect(mended.changes).toHaveLength(2);
  expect(mended.shift).toBeLessThan(SAME);
});

test('a scale that is meant keeps the limb where it hangs, with why', async () => {
  const bytes = astray((dresser) => {
    bare(dresser);
    sway(dresser);
    dresser.node('hips').scale = [1, 0.8, 1];
  });
  const mended = await applyRepair(bytes, chainParent);
  expect(mended.changes).toEqual([]);
  expect(mended.left.map(({ why }) => why)).toEqual([
    expect.stringMatching(/skewed|no curve can follow/),
    expect.stringMatching(/skewed|no curve can follow/),
  ]);
});

test('one that moves in steps is left, and so is its partner', async () => {
  const bytes = astray((dresser) => {
    bare(dresser);
    const output = dresser.accessor(Float32Array.of(0, 0, 0, 1, 0.6, 0, 0, 0.8), 'VEC4');
    dresser.key(dresser.named('thigh_L'), 'rotation', [0, 1], output, 'STEP');
  });
  const mended = await applyRepair(bytes, chainParent);
  expect(mended.changes).toEqual([]);
  expect(mended.left.map(({ place, why }) => `${place}: ${why}`)).toEqual([
    'carrier/thigh_L: the clip "play" moves in steps there, and no curve can follow steps',
    'carrier/thigh_R: left and right are hung together, and "thigh_L" cannot be hung',
  ]);
});

test('a skin that named the limb as its skeleton names a node above all its joints', async () => {
  const bytes = astray((dresser) => {
    bare(dresser);
    for (const skin of dresser.json.skins ?? [])
      Object.assign(skin, { skeleton: dresser.named('thigh_L') });
  });
  const mended = await applyRepair(bytes, chainParent);
  const { json } = splitGlb(mended.bytes);
  const carrier = json.nodes.findIndex(({ name }) => name === 'carrier');
  expect(json.skins?.map((skin) => Object(skin).skeleton)).toEqual([carrier]);
});

test('a limb that a spring swings is left where it hangs', async () => {
  const bytes = astray((dresser) => {
    const joints = [{ node: dresser.named('thigh_L') }];
    dresser.json.extensionsUsed = ['VRMC_springBone'];
    dresser.json.extensions = {
      VRMC_springBone: { specVersion: '1.0', springs: [{ name: 'sway', joints }] },
    };
  });
  const mended = await applyRepair(bytes, chainParent);
  expect(mended.changes).toEqual([]);
  expect(mended.left.map(({ why }) => why)).toEqual([
    'it is named by an extension that depends on which node hangs on which; change the hierarchy where you made the rig',
    'left and right are hung together, and "thigh_L" cannot be hung',
  ]);
});
