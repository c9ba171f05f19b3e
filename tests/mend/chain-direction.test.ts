// Source: three.js (npm `three`) for where vertices and nodes stand, see `skins-in-three.ts` and
// `worlds-in-three.ts`. That chains run from the body outward is common practice.
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { memberOf } from '../../src/asset/narrow.js';
import { chainDirection } from '../../src/mend/repairs/chain-direction.js';
import { compose } from '../../src/rig/mat4.js';
import { splitGlb } from '../fixtures/read-back.js';
import { rigOf } from '../support/facts-of.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { type Dresser, dressed, hangProps } from './dressed.js';
import { farthestSkin } from './skins-in-three.js';
import { farthestInThree } from './worlds-in-three.js';

/** What a mend may move. Share of size, and entries of world matrices of figures of some metres. */
const SAME = 1e-5;

const isProp = (name: string): boolean => name.startsWith('prop');

function backward(name: string, dress: (dresser: Dresser) => void = () => undefined): Uint8Array {
  const fault = faultNamed(name);
  return dressed(fault.puppet, (puppet) => fault.apply(puppet, fault.failing), dress);
}

/** Names of the joints of one branch, from the top down, by their parents. */
async function parentsIn(bytes: Uint8Array): Promise<Map<string, string | undefined>> {
  const { joints } = await rigOf(bytes);
  return new Map(
    joints.names.map((name, joint) => [name, joints.names[joints.parent[joint] ?? -1]]),
  );
}

describe.each([
  // The first bone after the turn has no length where nothing else begins there: both joints move skin.
  ['forelegs-hung-by-the-hoof', 2, ['chain.length']],
  ['rooted-in-the-tail', 1, []],
] as const)('%s', (name, count, left) => {
  const bytes = buildGlb(faultNamed(name).puppet, { faults: [faultNamed(name)] });

  test('is turned round, and moves nothing in the stored pose and in its clip', async () => {
    const mended = await applyRepair(bytes, chainDirection);
    expect([mended.changes.length, mended.left]).toEqual([count, []]);
    const found = (await findingsOf(mended.bytes)).map((line) => line.split(' ')[0]);
    expect(new Set(found)).toEqual(new Set(left));
    expect(mended.shift).toBeLessThan(SAME);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  });

  test('is turned once: again changes no byte', async () => {
    const once = await applyRepair(bytes, chainDirection);
    const twice = await applyRepair(once.bytes, chainDirection);
    expect(twice.changes).toEqual([]);
    expect(Buffer.compare(twice.bytes, once.bytes)).toBe(0);
  });

  test('keeps props on every joint of it where they were, in clips too', async () => {
    const dressedUp = backward(name, (dresser) => {
      hangProps(dresser, 'fore_cannon_L');
      for (const joint of ['croup', 'loin', 'trunk', 'forearm_L', 'tail_mid'])
        dresser.hang(joint, { name: `prop_${joint}`, translation: [0.1, 0, 0.2], mesh: 1 });
    });
    const mended = await applyRepair(dressedUp, chainDirection);
    expect(mended.left).toEqual([]);
    expect(await farthestInThree(dressedUp, mended.bytes, isProp)).toBeLessThan(SAME);
  });
});

test('a rig rooted in its tail hangs on its trunk afterwards, root motion included', async () => {
  const bytes = backward('rooted-in-the-tail', ({ json }) => {
    for (const skin of json.skins ?? []) Object.assign(skin, { skeleton: skin.joints[0] });
  });
  const { json: before } = splitGlb(bytes);
  const mended = await applyRepair(bytes, chainDirection);
  const parents = await parentsIn(mended.bytes);
  expect(parents.get('trunk')).toBeUndefined();
  expect(parents.get('tail_tip')).toBe('tail_low');
  expect(parents.get('croup')).toBe('loin');
  const { json } = splitGlb(mended.bytes);
  const trunk = json.nodes.findIndex(({ name }) => name === 'trunk');
  expect(before.skins?.[0]).not.toMatchObject({ skeleton: trunk });
  expect(json.skins?.[0]).toMatchObject({ skeleton: trunk });
  // It went by travel of its tail, and goes by travel of its trunk.
  const travelling = json.animations?.[0]?.channels.filter(
    ({ target }) => target.path === 'translation',
  );
  expect(travelling?.map(({ target }) => target.node)).toEqual([trunk]);
  expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
});

test('the turns within a chain stay the curves they were, the kind of spline included', async () => {
  const bytes = backward('rooted-in-the-tail');
  const mended = await applyRepair(bytes, chainDirection);
  const kinds = (file: Uint8Array, name: string): string[] => {
    const { json } = splitGlb(file);
    const node = json.nodes.findIndex((item) => item.name === name);
    const [clip] = json.animations ?? [];
    return (clip?.channels ?? [])
      .filter(({ target }) => target.node === node && target.path === 'rotation')
      .map(({ sampler }) => {
        const { interpolation = 'LINEAR', input } = clip?.samplers[sampler] ?? {};
        return `${interpolation} ${json.accessors[input ?? -1]?.count}`;
      });
  };
  // What the tail's root turned by against the joint before it, that one turns by against the root now.
  expect(kinds(mended.bytes, 'tail_high')).toEqual(kinds(bytes, 'tail_root'));
  expect(kinds(bytes, 'tail_root')).toEqual(['CUBICSPLINE 5']);
});

test('wild clips on every joint of the chain are followed, splines, travel and slerp together', async () => {
  const bytes = backward('forelegs-hung-by-the-hoof', (dresser) => {
    const half = Math.SQRT1_2;
    const turns = [0, 0, 0, 1, half, 0, 0, half, 0, half, 0, half, 0, 0, 0, 1];
    for (const [at, joint] of ['fore_hoof_L', 'fore_cannon_L', 'forearm_L'].entries()) {
      const output = dresser.accessor(Float32Array.from(turns), 'VEC4');
      const times = [0, 0.4 + 0.1 * at, 0.9, 1.5];
      dresser.key(dresser.named(joint), 'rotation', times, output, 'LINEAR');
    }
    const spline = [0, 0, 0, 0.1, -0.4, 0, 0.4, 0, 0.2, 0.1, 0, 0, 0, -0.4, 0.1, 0, 0, 0];
    const output = dresser.accessor(Float32Array.from(spline), 'VEC3');
    dresser.key(dresser.named('forearm_L'), 'translation', [0.2, 1.1], output, 'CUBICSPLINE');
  });
  const mended = await applyRepair(bytes, chainDirection);
  expect([mended.changes.length, mended.left]).toEqual([2, []]);
  expect(mended.changes[0]?.after).toMatch(
    /new curves for .* at most [\d.e-]+ % of size from the old curves/,
  );
  expect(mended.shift).toBeLessThan(SAME);
  expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
});

test('a clip that steps is left alone where its steps would have to be sampled', async () => {
  const bytes = backward('forelegs-hung-by-the-hoof', (dresser) => {
    const turns = [0, 0, 0, 1, 0.6, 0, 0, 0.8, 0, 0.6, 0, 0.8];
    const output = dresser.accessor(Float32Array.from(turns), 'VEC4');
    dresser.key(dresser.named('fore_cannon_L'), 'rotation', [0, 0.5, 1], output, 'STEP');
  });
  const mended = await applyRepair(bytes, chainDirection);
  expect(mended.changes).toEqual([]);
  expect(mended.left[0]?.why).toBe(
    'the clip "plod" moves in steps there, and no curve can follow steps',
  );
});

test('steps between keys that only rounding tells apart are none', async () => {
  const bytes = backward('forelegs-hung-by-the-hoof', (dresser) => {
    const { rotation: [x = 0, y = 0, z = 0, w = 1] = [] } = dresser.node('fore_cannon_L');
    const turns = Float32Array.of(x, y, z, w, x + 3e-8, y - 2e-8, z, w, x, y, z, w - 6e-8);
    const output = dresser.accessor(turns, 'VEC4');
    dresser.key(dresser.named('fore_cannon_L'), 'rotation', [0, 0.5, 1], output, 'STEP');
  });
  const mended = await applyRepair(bytes, chainDirection);
  expect([mended.changes.length, mended.left]).toEqual([2, []]);
  expect(mended.shift).toBeLessThan(SAME);
});

test('a node of no skin between two joints of the chain is told of', async () => {
  const bytes = backward('forelegs-hung-by-the-hoof', (dresser) => {
    const parent = dresser.node('fore_cannon_L');
    const child = dresser.named('forearm_L');
    const spacer = dresser.nodes.push({ name: 'lath', children: [child] }) - 1;
    parent.children = (parent.children ?? []).map((node) => (node === child ? spacer : node));
  });
  const mended = await applyRepair(bytes, chainDirection);
  expect(mended.left.map(({ why }) => why)).toEqual([
    'a node that is not a joint is above "forearm_L"; remove it, then mend the chain',
  ]);
});

test('a chain that an extension names is left as it is laid, with a word', async () => {
  const bytes = backward('forelegs-hung-by-the-hoof', (dresser) => {
    const joints = [{ node: dresser.named('foreleg_L') }];
    dresser.json.extensionsUsed = ['VRMC_springBone'];
    dresser.json.extensions = {
      VRMC_springBone: { specVersion: '1.0', springs: [{ name: 'sway', joints }] },
    };
  });
  const mended = await applyRepair(bytes, chainDirection);
  expect(mended.left.map(({ why }) => why)).toEqual([
    '"foreleg_L" is named by an extension that depends on which node hangs on which; change the hierarchy where you made the rig',
  ]);
  // The other leg is nobody's business but its own.
  expect(mended.changes.map(({ place }) => place)).toEqual([
    'trunk/spine_fore/withers/fore_hoof_R',
  ]);
});

test('a joint stored as a matrix that comes to be moved by a clip is stored in parts', async () => {
  const bytes = backward('rooted-in-the-tail', (dresser) => {
    const node = dresser.node('tail_high');
    const [x = 0, y = 0, z = 0, w = 1] = node.rotation ?? [];
    const matrix = compose(node.translation ?? [0, 0, 0], [x, y, z, w], [1, 1, 1]);
    for (const key of ['translation', 'rotation'] as const) delete node[key];
    node.matrix = [...matrix];
  });
  const mended = await applyRepair(bytes, chainDirection);
  expect([mended.changes.length, mended.left]).toEqual([1, []]);
  const { nodes } = splitGlb(mended.bytes).json;
  const high = nodes.find(({ name }) => name === 'tail_high');
  expect(high).toBeDefined();
  expect(memberOf(high, 'matrix')).toBeUndefined();
  expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
});

test('a pose of one key stays one key, of a kind that may have one', async () => {
  const bytes = backward('forelegs-hung-by-the-hoof', (dresser) => {
    delete dresser.json.animations;
    const output = dresser.accessor(Float32Array.of(0.6, 0, 0, 0.8), 'VEC4');
    dresser.key(dresser.named('fore_cannon_L'), 'rotation', [0.5], output, 'STEP');
  });
  const mended = await applyRepair(bytes, chainDirection);
  expect([mended.changes.length, mended.left]).toEqual([2, []]);
  const { accessors, animations = [] } = splitGlb(mended.bytes).json;
  const samplers = animations.flatMap((clip) => clip.samplers);
  expect(samplers.map(({ input }) => accessors[input]?.count)).toEqual(samplers.map(() => 1));
  expect(samplers.map(({ interpolation }) => interpolation)).not.toContain('CUBICSPLINE');
  expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
});
