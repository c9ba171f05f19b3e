// Source: glTF 2.0, 3.7.3.3 (a skinned mesh node's own transform MUST be ignored); three.js (npm `three`) for
// where nodes stand, see `worlds-in-three.ts`.
import { expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { meshNodes } from '../../src/mend/repairs/mesh-nodes.js';
import { splitGlb } from '../fixtures/read-back.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { type Dresser, dressed, hangProps } from './dressed.js';
import { farthestInThree } from './worlds-in-three.js';

/** What a mend may move. Share of size, and entries of world matrices of figures of some metres. */
const SAME = 1e-5;

const fault = faultNamed('moved-mesh-node');
const HIDE = 'mule_hide';
const still = (): void => undefined;

const moved = (dresser: Dresser): void => {
  Object.assign(dresser.node(HIDE), {
    translation: [1, 2, 3],
    rotation: [0, 0.6, 0, 0.8],
    scale: [2, 2, 2],
  });
};

test('moved-mesh-node is mended without a finding in its place, and moves nothing', async () => {
  const bytes = buildGlb(fault.puppet, { faults: [fault] });
  const before = await findingsOf(bytes);
  const mended = await applyRepair(bytes, meshNodes);
  expect(mended.changes).toHaveLength(before.length);
  expect(before.every((line) => line.startsWith('rest.mesh'))).toBe(true);
  expect(await findingsOf(mended.bytes)).toEqual([]);
  expect(mended.shift).toBeLessThan(SAME);
  const twice = await applyRepair(mended.bytes, meshNodes);
  expect(Buffer.compare(twice.bytes, mended.bytes)).toBe(0);
});

test('the transform that quantised positions leave on the node goes, even when unequal', async () => {
  const bytes = dressed(
    'mule',
    still,
    (dresser) => Object.assign(dresser.node(HIDE), { scale: [1, 2, -3] }),
    { positions: 'quantised-node', weights: 'u8' },
  );
  const mended = await applyRepair(bytes, meshNodes);
  expect([mended.changes.length, mended.left]).toEqual([1, []]);
  expect(await findingsOf(mended.bytes)).toEqual([]);
});

test('what hangs on the node is taken back', async () => {
  const bytes = dressed('mule', still, (dresser) => {
    moved(dresser);
    hangProps(dresser, HIDE);
  });
  const mended = await applyRepair(bytes, meshNodes);
  expect([mended.changes.length, mended.left]).toEqual([1, []]);
  expect(mended.changes[0]?.before).toBe('moved by 3.74 m, turned by 73.7°, scaled by 2');
  const isProp = (name: string): boolean => name.startsWith('prop');
  expect(await farthestInThree(bytes, mended.bytes, isProp)).toBeLessThan(SAME);
});

test.each([
  [
    'that is a joint as well',
    (dresser: Dresser) => {
      moved(dresser);
      dresser.json.skins?.[0]?.joints.splice(1, 1, dresser.named(HIDE));
    },
    'it is also a joint, so its transform poses the rig',
  ],
  [
    'with a part that has no weights',
    (dresser: Dresser) => {
      moved(dresser);
      const { mesh = 0 } = dresser.node(HIDE);
      const { primitives = [] } = dresser.json.meshes?.[mesh] ?? {};
      const [first] = primitives;
      if (first === undefined) throw new Error('a primitive was there');
      const { JOINTS_0: _, ...attributes } = first.attributes;
      primitives.push({ ...first, attributes });
    },
    'a part of its mesh has no weights, so viewers may place it by the node',
  ],
  [
    'that carries a light',
    (dresser: Dresser) => {
      moved(dresser);
      dresser.node(HIDE).extensions = { KHR_lights_punctual: { light: 0 } };
    },
    'it carries a light, which would look different; move that to a separate node below it',
  ],
  [
    'that is scaled unequally above others',
    (dresser: Dresser) => {
      hangProps(dresser, HIDE);
      dresser.node(HIDE).scale = [1, 1, 2];
    },
    'it is scaled unequally, skewed or mirrored, and nothing below it can take that over',
  ],
])('a mesh node %s is left alone with a word', async (_title, dress, why) => {
  const bytes = dressed('mule', still, dress);
  const mended = await applyRepair(bytes, meshNodes);
  expect(mended.left.map((item) => item.why)).toEqual([why]);
  expect(splitGlb(mended.bytes).json).toEqual(splitGlb(bytes).json);
});
