// Sources: three.js (npm `three`) for where vertices stand, see `skins-in-three.ts`; the Khronos glTF 2.0
// Specification, 3.7.3.2 and 5.28.2 (a common root is a MUST, `skeleton` is it or a node above it) and 3.5.1
// (a scene lists roots). That a rig has one root is common practice.
import { describe, expect, test } from 'vitest';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { rootSingle } from '../../src/mend/repairs/root-single.js';
import { splitGlb } from '../fixtures/read-back.js';
import { rigOf } from '../support/facts-of.js';
import { readWhole } from '../support/gltf-musts/whole-file.js';
import { breachesOf } from '../support/gltf-musts.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { type Dresser, dressed } from './dressed.js';
import { farthestSkin } from './skins-in-three.js';

/** What a mend may move. Share of the figure's reach. */
const SAME = 1e-5;

function faulty(name: string, dress?: (dresser: Dresser) => void): Uint8Array {
  const fault = faultNamed(name);
  return dressed(fault.puppet, (puppet) => fault.apply(puppet, fault.failing), dress);
}

/** Every joint hangs on the stage, as tracked hands and props come out of some exports. */
function flat(name: CastName, dress?: (dresser: Dresser) => void): Uint8Array {
  const scatter = (puppet: Puppet): void => {
    for (const joint of puppet.joints) joint.parent = null;
  };
  return dressed(name, scatter, dress);
}

async function topsOf(bytes: Uint8Array): Promise<string[]> {
  const { joints } = await rigOf(bytes);
  return joints.names.filter((_, joint) => joints.parent[joint] === -1);
}

async function parentOf(bytes: Uint8Array, name: string): Promise<string | undefined> {
  const { joints } = await rigOf(bytes);
  return joints.names[joints.parent[joints.names.indexOf(name)] ?? -1];
}

const still = ({ json }: Dresser): void => {
  delete json.animations;
};

describe('what moves skin beside the root', () => {
  test('hangs on the joint whose flesh is nearest, where no clip poses it on its own', async () => {
    const bytes = faulty('legs-beside-root', still);
    const mended = await applyRepair(bytes, rootSingle);
    expect(mended.changes.map(({ before, after }) => `${before}: ${after}`)).toEqual([
      'a second topmost joint: hung on "hips", in its place',
      'a second topmost joint: hung on "hips", in its place',
    ]);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(await parentOf(mended.bytes, 'thigh_L')).toBe('hips');
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  });

  test('gets one new joint at zero above all where a clip poses it on its own', async () => {
    const bytes = faulty('legs-beside-root');
    const mended = await applyRepair(bytes, rootSingle);
    expect(mended.changes.map(({ before, after }) => `${before}: ${after}`)).toEqual([
      expect.stringMatching(
        /^3 topmost joints: all below a new joint "root" at zero \(clips pose "thigh_L" on its own, and the bone from "hips" to "thigh_L" would stretch by \d+ %\)$/,
      ),
    ]);
    expect(await topsOf(mended.bytes)).toEqual(['root']);
    const { json } = splitGlb(mended.bytes);
    const [before] = splitGlb(bytes).json.skins ?? [];
    expect(json.nodes.at(-1)).toMatchObject({ name: 'root' });
    expect(Object.keys(json.nodes.at(-1) ?? {})).toEqual(['name', 'children']);
    for (const skin of json.skins ?? [])
      expect(skin.joints).toEqual([...(before?.joints ?? []), json.nodes.length - 1]);
    // Clips keep every key: nothing is sampled again.
    expect(json.animations).toEqual(splitGlb(bytes).json.animations);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  });

  test('the new joint is bound where it is at rest', async () => {
    const bytes = faulty('legs-beside-root', (dresser) => {
      const stage = dresser.node('stage');
      stage.translation = [4, 0, 2];
    });
    const mended = await applyRepair(bytes, rootSingle);
    expect(await topsOf(mended.bytes)).toEqual(['root']);
    const { skins, joints, nodes } = await rigOf(mended.bytes);
    const root = joints.names.indexOf('root');
    const node = joints.node[root] ?? -1;
    const [x, y, z] = nodes.world.subarray(16 * node + 12, 16 * node + 15);
    expect([x, y, z]).toEqual([4, 0, 2]);
    for (const { slotOfJoint, inverseBind } of skins) {
      const slot = slotOfJoint[root] ?? -1;
      // The whole figure was moved after it was bound, and the new joint with it.
      expect(
        [...inverseBind.subarray(16 * slot, 16 * slot + 16)].map((value) => Math.round(value) + 0),
      ).toEqual([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]);
    }
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  });

  test('takes a name that is free', async () => {
    const bytes = faulty('legs-beside-root', ({ nodes }) => {
      nodes.push({ name: 'root' });
    });
    expect(await topsOf((await applyRepair(bytes, rootSingle)).bytes)).toEqual(['root_2']);
  });

  test('in a scene of its own gets the common root that glTF asks for', async () => {
    const bytes = faulty('scattered-legs', ({ json }) => {
      for (const skin of json.skins ?? []) Object.assign(skin, { skeleton: skin.joints[0] });
      delete json.animations;
    });
    expect([...breachesOf(readWhole(bytes)).keys()]).toContain('common-root');
    const mended = await applyRepair(bytes, rootSingle);
    expect([...breachesOf(readWhole(mended.bytes)).keys()]).toEqual([]);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(await parentOf(mended.bytes, 'thigh_L')).toBe('croup');
    const { json } = splitGlb(mended.bytes);
    const hung = new Set(json.nodes.flatMap(({ children = [] }) => children));
    expect(
      json.scenes?.flatMap(({ nodes = [] }) => nodes).filter((node) => hung.has(node)),
    ).toEqual([]);
  });

  test('and has a clip that moves in steps gets the new joint', async () => {
    const bytes = faulty('legs-beside-root', (dresser) => {
      still(dresser);
      const turns = [0, 0, 0, 1, 0.1, 0, 0, 0.995];
      const output = dresser.accessor(Float32Array.from(turns), 'VEC4');
      dresser.key(dresser.named('thigh_L'), 'rotation', [0, 1], output, 'STEP');
    });
    const mended = await applyRepair(bytes, rootSingle);
    expect(mended.changes[0]?.after).toMatch(/new joint "root" .*moves in steps/);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  });

  test('and is named by a spring keeps what it hangs on, below the new joint', async () => {
    const bytes = faulty('legs-beside-root', (dresser) => {
      still(dresser);
      const joints = [{ node: dresser.named('thigh_L') }];
      dresser.json.extensionsUsed = ['VRMC_springBone'];
      dresser.json.extensions = {
        VRMC_springBone: { specVersion: '1.0', springs: [{ name: 'sway', joints }] },
      };
    });
    const mended = await applyRepair(bytes, rootSingle);
    expect(mended.changes[0]?.after).toMatch(/new joint "root" .*named by an extension/);
    expect(await parentOf(mended.bytes, 'thigh_L')).toBe('root');
  });

  test('is left alone where a node that no skin lists carries it like a bone', async () => {
    const bytes = faulty('legs-beside-root', (dresser) => {
      const stage = dresser.node('stage');
      const legs = ['thigh_L', 'thigh_R'].map((name) => dresser.named(name));
      stage.children = stage.children?.filter((node) => !legs.includes(node)) ?? [];
      dresser.hang('stage', { name: 'swing', children: legs });
    });
    const mended = await applyRepair(bytes, rootSingle);
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ why }) => why)).toEqual([
      'it hangs on "swing", which no skin lists and which carries other joints of the rig, too, as a bone does; list that node in the skin where you made the rig',
    ]);
  });
});

describe('a flat rig', () => {
  test('gets one new joint above all, and nothing is seen of it', async () => {
    const bytes = flat('caterpillar');
    const mended = await applyRepair(bytes, rootSingle);
    expect(mended.changes.map(({ after }) => after)).toEqual([
      'all below a new joint "root" at zero (no joint of it moves another, and nothing shows which should)',
    ]);
    expect(await topsOf(mended.bytes)).toEqual(['root']);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
    const again = await applyRepair(mended.bytes, rootSingle);
    expect(again.changes.filter(({ after }) => after.includes('root'))).toEqual([]);
  });

  test('without inverse bind matrices is left alone', async () => {
    const bytes = flat('caterpillar', ({ json }) => {
      for (const skin of json.skins ?? [])
        delete (skin as { inverseBindMatrices?: number }).inverseBindMatrices;
    });
    const mended = await applyRepair(bytes, rootSingle);
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ why }) => why).join()).toMatch(
      /one inverse bind matrix for each joint/,
    );
  });
});

describe('what moves no skin', () => {
  test('is left out of the skin, and its node stays where it was', async () => {
    const bytes = faulty('loose-hook');
    const mended = await applyRepair(bytes, rootSingle);
    expect(mended.changes.map(({ place, after }) => `${place} ${after}`)).toEqual([
      'lamp_hook_1 removed from the skin; the node stays',
    ]);
    expect(splitGlb(mended.bytes).json.nodes).toEqual(splitGlb(bytes).json.nodes);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  });

  test('hangs on the root where an extension may need it as a joint', async () => {
    const bytes = faulty('loose-hook', (dresser) => {
      still(dresser);
      const hook = dresser.named('lamp_hook_1');
      Object.assign(dresser.node('body'), { extensions: { THEATRE_hooks: { hook } } });
    });
    const mended = await applyRepair(bytes, rootSingle);
    expect(mended.changes.map(({ after }) => after)).toEqual(['hung on "body", in its place']);
  });
});
