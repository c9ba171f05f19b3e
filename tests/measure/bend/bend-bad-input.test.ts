import { describe, expect, test } from 'vitest';
import { ByteWriter } from '../../../fixtures/kit/byte-writer.js';
import type { GltfJson, GltfPrimitive } from '../../../fixtures/kit/gltf-json.js';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { bendLab } from '../../../src/measure/bend/bend-lab.js';
import type { Rig } from '../../../src/rig/types.js';
import { type BlendTube, blendTube, cutApart } from '../../support/blend-tube.js';
import { modelOf } from '../../support/facts-of.js';
import { chainJoints, type TinyJoint, type TinySkin, tinyGlb } from '../../support/tiny-rig.js';

const tube: BlendTube = { from: -0.5, to: 0.5, steps: 24, radius: 0.3 };
const rod = chainJoints([
  [-3, 0, 0],
  [0, 0, 0],
]);
/** Float32 weights and positions. Of the volume. */
const FLOAT32 = 1e-5;

const labOf = (rig: Rig) => bendLab({ rig, wanted: { aim: null, up: null } });

async function rigsOf(
  skin: TinySkin,
  edit: (json: GltfJson) => void = () => undefined,
  joints: readonly TinyJoint[] = rod,
): Promise<readonly Rig[]> {
  return (await modelOf(tinyGlb(joints, skin, edit))).rigs;
}

async function only(...args: Parameters<typeof rigsOf>): Promise<Rig> {
  const [rig] = await rigsOf(...args);
  if (rig === undefined) throw new Error('no rig');
  return rig;
}

/** Volume kept at the hinge in its worst bend. */
function keptAt(rig: Rig, joint = 1): number {
  return labOf(rig).joints.find((bent) => bent.joint === joint)?.worst.volumeKept ?? Number.NaN;
}

const sound = keptAt(await only(blendTube(tube)));

test('the sound tube, which the others are held against, keeps what it should', () => {
  expect(Math.abs(sound - (1 - 1 / 12))).toBeLessThan(1e-3);
});

describe('a tube is measured as well', () => {
  test('with triangles of no area among the others', async () => {
    const skin = blendTube(tube);
    const flat = skin.triangles.flatMap(([a, b]) => [[a, a, b] as const, [b, a, a] as const]);
    const rig = await only({ ...skin, triangles: [...skin.triangles, ...flat] });
    expect(Math.abs(keptAt(rig) - sound)).toBeLessThan(FLOAT32);
    expect(labOf(rig).joints[0]?.worst.inverted).toBe(0);
  });

  test('with needles that look nowhere, three corners of one straight line', async () => {
    const skin = blendTube(tube);
    const needles = Array.from({ length: 16 * 20 }, (_, vertex) => {
      return [16 + vertex, 32 + vertex, 48 + vertex] as const;
    });
    const both = needles.flatMap(([a, b, c]) => [[a, b, c] as const, [a, c, b] as const]);
    // Aslant, so that rounding to float32 gives each needle a side of its own.
    const slanted = ([x, y, z]: Vec3): Vec3 => [0.8 * x - 0.6 * y, 0.6 * x + 0.8 * y, z];
    const positions = skin.positions.map(slanted);
    const joints = rod.map((joint) => ({ ...joint, at: slanted(joint.at) }));
    const triangles = [...skin.triangles, ...both];
    const [plain, spiked] = [
      await only({ ...skin, positions }, undefined, joints),
      await only({ ...skin, positions, triangles }, undefined, joints),
    ];
    expect(labOf(plain).joints[0]?.bends.map(({ inverted }) => inverted)).toEqual([0, 0, 0, 0]);
    expect(labOf(spiked).joints[0]?.bends.map(({ inverted }) => inverted)).toEqual([0, 0, 0, 0]);
    expect(Math.abs(keptAt(spiked) - keptAt(plain))).toBeLessThan(FLOAT32);
  });

  test('with no indices', async () => {
    const rig = await only(cutApart(blendTube(tube)), (json) => {
      Reflect.deleteProperty(primitiveOf(json), 'indices');
    });
    expect(Math.abs(keptAt(rig) - sound)).toBeLessThan(FLOAT32);
  });

  test('with more than four influences, in two sets', async () => {
    const joints = chainJoints(Array.from({ length: 6 }, (_, i) => [0.1 * i - 0.3, 0, 0] as const));
    // What stands is shared out over joints 0 to 2, what turns over 3 to 5: the hinge is joint 3.
    const skin = blendTube(tube);
    const spread = (weight: number, first: number): Influence[] =>
      [0.5, 0.25, 0.25].map((part, i) => [first + i, part * weight]);
    const [one, two] = [0, 1].map((set) =>
      skin.influences.map((list) => spread(list[set]?.[1] ?? 0, 3 * set)),
    );
    if (one === undefined || two === undefined) throw new Error('two sets');
    const whole = await only({ ...skin, influences: one }, (json) => addSet(json, two), joints);
    expect(whole.parts[0]?.influences).toBe(8);
    expect(Math.abs(keptAt(whole, 3) - sound)).toBeLessThan(FLOAT32);
  });

  test('with joints on top of each other', async () => {
    const joints = chainJoints([...rod.map(({ at }) => at), [0, 0, 0], [0, 0, 0]]);
    const skin = blendTube(tube);
    const influences = skin.influences.map((list): Influence[] =>
      list.map(([joint, weight]) => [joint === 1 ? 3 : joint, weight]),
    );
    expect(
      Math.abs(keptAt(await only({ ...skin, influences }, undefined, joints), 3) - sound),
    ).toBeLessThan(FLOAT32);
  });

  test('when two skins of one rig move it', async () => {
    const rig = await only(blendTube(tube), (json) => {
      const [skin] = json.skins ?? [];
      if (skin === undefined) throw new Error('no skin');
      json.skins?.push({ ...skin, name: 'second hide' });
      json.nodes.push({ name: 'second hide', mesh: 0, skin: 1 });
      json.scenes[0]?.nodes.push(json.nodes.length - 1);
    });
    expect(rig.parts.map((part) => part.skin)).toEqual([0, 1]);
    expect(Math.abs(keptAt(rig) - sound)).toBeLessThan(FLOAT32);
  });

  test('beside weights that are negative, no numbers, too small in sum, or of no joint', async () => {
    const skin = blendTube(tube);
    const odd = (list: readonly Influence[], i: number): Influence[] =>
      list
        .map(([joint, weight]): Influence => [joint, (i % 2 === 0 ? 0.5 : 1) * weight])
        .concat([[i % 3 === 0 ? 9 : 0, i % 3 === 1 ? Number.NaN : i % 3 === 2 ? -1 : 0.5]]);
    const rig = await only({ ...skin, influences: skin.influences.map(odd) });
    expect(Math.abs(keptAt(rig) - sound)).toBeLessThan(FLOAT32);
  });
});

function primitiveOf(json: GltfJson): GltfPrimitive {
  const primitive = json.meshes?.[0]?.primitives[0];
  if (primitive === undefined) throw new Error('no primitive');
  return primitive;
}

/** Gives a primitive a second set of joints and weights, in a buffer of its own. */
function addSet(json: GltfJson, influences: readonly (readonly Influence[])[]): void {
  const before = json.bufferViews.length;
  const writer = new ByteWriter(json);
  const four = (list: readonly number[]): number[] => [0, 1, 2, 3].map((at) => list[at] ?? 0);
  const joints = influences.flatMap((list) => four(list.map(([joint]) => Number(joint))));
  const weights = influences.flatMap((list) => four(list.map(([, weight]) => weight)));
  const { attributes } = primitiveOf(json);
  attributes.JOINTS_1 = writer.accessor(joints, 'VEC4', 'u16', { target: 34962 });
  attributes.WEIGHTS_1 = writer.accessor(weights, 'VEC4', 'float', { target: 34962 });
  const bytes = writer.finish();
  const uri = `data:application/octet-stream;base64,${Buffer.from(bytes).toString('base64')}`;
  const buffer = (json.buffers?.push({ byteLength: bytes.length, uri }) ?? 0) - 1;
  for (const view of json.bufferViews.slice(before)) view.buffer = buffer;
}
