// Source: three.js (npm `three`) for where vertices and nodes stand, see `skins-in-three.ts` and
// `worlds-in-three.ts`; what can be stored at all is glTF 2.0, 3.5.3 Transformations.
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { memberOf } from '../../src/asset/narrow.js';
import { rigidFrames } from '../../src/mend/repairs/rigid-frames.js';
import { splitGlb } from '../fixtures/read-back.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { type Dresser, dressed, hangProps } from './dressed.js';
import { farthestSkin } from './skins-in-three.js';
import { farthestInThree, worldsInThree } from './worlds-in-three.js';

/** What a mend may move. Share of size, and entries of world matrices of figures of some metres. */
const SAME = 1e-5;

const isProp = (name: string): boolean => name.startsWith('prop') && !name.endsWith('_shape');
const noClips = ({ json }: Dresser): void => {
  delete json.animations;
};

function scaled(joint: string, scale: [number, number, number]): (puppet: Puppet) => void {
  return (puppet) => {
    puppet.joint(joint).scale = scale;
  };
}

describe.each(['stretched-beak-tip', 'mirrored-toe'])('%s', (name) => {
  const fault = faultNamed(name);
  const bytes = buildGlb(fault.puppet, { faults: [fault] });

  test('is mended without a finding in its place, and moves nothing', async () => {
    expect(await findingsOf(bytes)).not.toEqual([]);
    const mended = await applyRepair(bytes, rigidFrames);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect([mended.changes.length, mended.left]).toEqual([1, []]);
    expect(mended.shift).toBeLessThan(SAME);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  });

  test('is mended once: again changes no byte', async () => {
    const once = await applyRepair(bytes, rigidFrames);
    const twice = await applyRepair(once.bytes, rigidFrames);
    expect(twice.changes).toEqual([]);
    expect(Buffer.compare(twice.bytes, once.bytes)).toBe(0);
  });
});

describe('an unequal scale above a turn', () => {
  const fault = faultNamed('sheared-shin');

  test('is left alone where a clip turns what is below, and the clip is named', async () => {
    const bytes = buildGlb(fault.puppet, { faults: [fault] });
    const mended = await applyRepair(bytes, rigidFrames);
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ rule }) => rule)).toEqual(['scale.nonuniform', 'scale.shear']);
    expect(mended.left[0]?.why).toMatch(/^the clip "wade" moves "shin_L" under the unequal scale/);
    expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
  });

  test('is mended exactly where nothing turns', async () => {
    const bytes = dressed('heron', (puppet) => fault.apply(puppet, 6), noClips);
    expect((await findingsOf(bytes)).map((line) => line.split(' ')[0])).toEqual([
      'scale.nonuniform',
      'scale.shear',
    ]);
    const mended = await applyRepair(bytes, rigidFrames);
    expect(mended.changes.map(({ rule }) => rule)).toEqual(['scale.nonuniform', 'scale.shear']);
    expect((await findingsOf(mended.bytes)).filter((line) => /^(scale|rest)/.test(line))).toEqual(
      [],
    );
    expect(mended.shift).toBeLessThan(SAME);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  });

  test('is taken as near as it comes where that is asked', async () => {
    const bytes = buildGlb(fault.puppet, { faults: [fault] });
    const mended = await applyRepair(bytes, rigidFrames, { resample: true });
    expect(mended.changes[0]?.after).toMatch(
      /new curves for "shin_L" in the clip "wade" \(\d+ keys, at most [\d.]+ % of size from the old curves\)/,
    );
    expect(await findingsOf(mended.bytes)).toEqual([]);
    // The stored pose is the same to rounding; under the clip no rigid shin can be what it was.
    expect(await farthestSkin(bytes, mended.bytes, ([clip]) => clip === -1)).toBeLessThan(SAME);
    expect(mended.shift).toBeGreaterThan(100 * SAME);
    expect(mended.shift).toBeLessThan(0.01);
  });
});

test('joints in a row below an unequal scale are followed from key to key of all of them', async () => {
  const turns = (x: number, z: number): number[] => {
    const w = Math.sqrt(1 - x * x - z * z);
    return [0, 0, 0, 1, x, 0, z, w, 0, 0, 0, 1];
  };
  const bytes = dressed(
    'heron',
    (puppet) => {
      puppet.joint('neck_low').scale = [1, 1.4, 1];
    },
    (dresser) => {
      const key = (joint: string, times: readonly number[], values: readonly number[]): void => {
        const output = dresser.accessor(Float32Array.from(values), 'VEC4');
        dresser.key(dresser.named(joint), 'rotation', [...times], output, 'LINEAR');
      };
      key('neck_bend', [0, 0.31, 1], turns(0.6, 0.2));
      key('neck_mid', [0, 0.5, 1], turns(-0.5, 0.3));
    },
  );
  const mended = await applyRepair(bytes, rigidFrames, { resample: true });
  expect([mended.left, mended.changes.length]).toEqual([[], 2]);
  expect(mended.changes[0]?.after).toMatch(/at most 0\.0001 % of size from the old curves/);
});

test('a turn about the one axis that is scaled otherwise stays exact, cubic splines included', async () => {
  const bytes = dressed('heron', scaled('neck_mid', [1.25, 1, 1]), (dresser) => {
    noClips(dresser);
    const [x, y, z, w] = [...(dresser.node('neck_high').rotation ?? [0, 0, 0, 1])];
    // The neck lies in the plane of the heron, so that it bends about X alone.
    expect([y, z]).toEqual([0, 0]);
    const rest = [x ?? 0, 0, 0, w ?? 1];
    const flat = [0, 0, 0, 0];
    const keys = [flat, rest, [0.8, 0, 0, 0.1], [0.2, 0, 0, 0], [0.6, 0, 0, 0.8], flat];
    const output = dresser.accessor(Float32Array.from(keys.flat()), 'VEC4');
    dresser.key(dresser.named('neck_high'), 'rotation', [0, 1], output, 'CUBICSPLINE');
  });
  const mended = await applyRepair(bytes, rigidFrames);
  expect([mended.changes.length, mended.left]).toEqual([1, []]);
  expect(mended.shift).toBeLessThan(SAME);
  expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
});

describe.each([
  ['unequal', [1, 1.2, 0.7]],
  ['mirroring', [-1, 1, 1]],
  ['mirroring and unequal', [1.1, -0.9, 1]],
  ['mirroring through a point', [-2, -2, -2]],
] as const)('a scale that is %s', (_, factors) => {
  test.each(['neck_mid', 'thigh_L'])(
    'goes from %s, and props below look as they did',
    async (joint) => {
      const bytes = dressed(
        'heron',
        (puppet) => {
          scaled(joint, [...factors])(puppet);
        },
        (dresser) => {
          noClips(dresser);
          hangProps(dresser, joint);
        },
      );
      const mended = await applyRepair(bytes, rigidFrames);
      expect(mended.left).toEqual([]);
      expect(mended.changes.length).toBeGreaterThan(0);
      const found = await findingsOf(mended.bytes);
      expect(found.filter((line) => line.startsWith('scale.'))).toEqual([]);
      expect(mended.shift).toBeLessThan(SAME);
      expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
      expect(await farthestInThree(bytes, mended.bytes, isProp)).toBeLessThan(SAME);
      const twice = await applyRepair(mended.bytes, rigidFrames);
      expect(twice.changes).toEqual([]);
    },
  );
});

test('a mirrored limb goes on through its clips, travel and splines', async () => {
  const bytes = dressed('marionette', scaled('thigh_R', [-1, 1, 1]), (dresser) => {
    const spline = [0, 0, 0, 0.1, -0.4, 0, 0.4, 0, 0.2, 0.1, 0, 0, 0, -0.4, 0.1, 0, 0, 0];
    const output = dresser.accessor(Float32Array.from(spline), 'VEC3');
    dresser.key(dresser.named('shin_R'), 'translation', [0, 1], output, 'CUBICSPLINE');
    const turns = [0, 0, 0, 1, 0.6, 0, 0, 0.8, 0, 0.6, 0, 0.8];
    const turned = dresser.accessor(Float32Array.from(turns), 'VEC4');
    dresser.key(dresser.named('foot_R'), 'rotation', [0, 0.5, 1], turned, 'LINEAR');
  });
  const mended = await applyRepair(bytes, rigidFrames);
  expect([mended.changes.length, mended.left]).toEqual([1, []]);
  expect(mended.shift).toBeLessThan(SAME);
  expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  const { nodes } = splitGlb(mended.bytes).json;
  expect(nodes.filter(({ scale }) => scale?.some((factor) => factor < 0) === true)).toEqual([]);
});

test('a scale of nothing has no way back', async () => {
  const flatten = (dresser: Dresser): void => {
    dresser.node('beak_tip').scale = [1, 0, 1];
  };
  const mended = await applyRepair(
    dressed('heron', () => undefined, flatten),
    rigidFrames,
  );
  expect(mended.changes).toEqual([]);
  expect(mended.left.map(({ why }) => why)).toContain(
    'it is scaled to zero, and this cannot be undone',
  );
});

test('a collider of a spring below a mirroring scale stays where it is in the world', async () => {
  const offset = [0.1, 0.2, 0.3];
  const bytes = dressed('heron', scaled('neck_mid', [1, -1, 1]), (dresser) => {
    dresser.json.extensionsUsed = ['VRMC_springBone'];
    const shape = { sphere: { offset, radius: 0.05 } };
    const colliders = [{ node: dresser.named('head'), shape }];
    dresser.json.extensions = { VRMC_springBone: { specVersion: '1.0', colliders } };
  });
  const mended = await applyRepair(bytes, rigidFrames);
  expect([mended.changes.length, mended.left]).toEqual([1, []]);
  const place = async (file: Uint8Array): Promise<number[]> => {
    const { json } = splitGlb(file);
    const spring = memberOf(memberOf(json, 'extensions'), 'VRMC_springBone');
    const [collider]: unknown[] = [memberOf(spring, 'colliders')].flat();
    const own = memberOf(memberOf(memberOf(collider, 'shape'), 'sphere'), 'offset');
    const [x = 0, y = 0, z = 0] = (Array.isArray(own) ? own : []).map(Number);
    const [atRest] = await worldsInThree(file);
    const m = atRest?.get('head') ?? [];
    return [0, 1, 2].map(
      (row) =>
        (m[row] ?? 0) * x + (m[4 + row] ?? 0) * y + (m[8 + row] ?? 0) * z + (m[12 + row] ?? 0),
    );
  };
  const [before, after] = [await place(bytes), await place(mended.bytes)];
  before.forEach((value, axis) => {
    expect(after[axis]).toBeCloseTo(value, 5);
  });
  expect(Math.hypot(...before)).toBeGreaterThan(0.5);
});

test.each(['rotation', 'scale'] as const)(
  'a prop below a mirroring scale whose clip keys its %s alone looks as it did',
  async (path) => {
    const bytes = dressed('marionette', scaled('thigh_R', [-1, 1, 1]), (dresser) => {
      const mesh = dresser.plainMesh();
      const rotation = [0.48, 0.64, 0, 0.6];
      const prop = dresser.hang('shin_R', { name: 'prop', rotation, scale: [1, 2, 3], mesh });
      const values = path === 'rotation' ? [0, 0, 0, 1, 0, 0.6, 0, 0.8] : [1, 2, 3, 2, 1, 1];
      const output = dresser.accessor(
        Float32Array.from(values),
        path === 'rotation' ? 'VEC4' : 'VEC3',
      );
      dresser.key(prop, path, [0, 2], output, 'LINEAR');
    });
    const mended = await applyRepair(bytes, rigidFrames);
    expect([mended.changes.length, mended.left]).toEqual([1, []]);
    expect(await farthestInThree(bytes, mended.bytes, isProp)).toBeLessThan(SAME);
  },
);

test.each([
  ['half a turn and back', 'LINEAR', [0, 0, 0, 1, 0, 0, 1, 0, 0, 0, 0, 1]],
  [
    'tangents alone',
    'CUBICSPLINE',
    [
      [0, 0, 0, 0],
      [0, 0, 0, 1],
      [0, 0, 2, 0],
    ].flat(),
  ],
] as const)(
  'a turn that suits the unequal scale at its keys only, by %s, is left alone',
  async (_, interpolation, values) => {
    const bytes = dressed('heron', scaled('head', [1, 1.5, 1]), (dresser) => {
      noClips(dresser);
      dresser.node('beak_tip').rotation = [0, 0, 0, 1];
      const keys = interpolation === 'LINEAR' ? values : [...values, ...values];
      const output = dresser.accessor(Float32Array.from(keys), 'VEC4');
      const times = interpolation === 'LINEAR' ? [0, 1, 2] : [0, 1];
      dresser.key(dresser.named('beak_tip'), 'rotation', times, output, interpolation);
    });
    const mended = await applyRepair(bytes, rigidFrames);
    expect(mended.changes).toEqual([]);
    expect(mended.left[0]?.why).toMatch(
      /^the clip "play" moves "beak_tip" under the unequal scale/,
    );
  },
);

test('a camera in the node of a skinned mesh below a mirroring scale stays where it was', async () => {
  const bytes = dressed('heron', scaled('neck_mid', [-1, 1, 1]), (dresser) => {
    dresser.json.cameras = [{ type: 'perspective', perspective: { yfov: 1, znear: 0.1 } }];
    const mesh = dresser.nodes.find((node) => node.skin !== undefined);
    const { mesh: shown = 0, skin = 0 } = mesh ?? {};
    dresser.hang('head', { name: 'prop', mesh: shown, skin, camera: 0, translation: [0, 1, 0] });
  });
  const mended = await applyRepair(bytes, rigidFrames);
  expect([mended.changes.length, mended.left]).toEqual([1, []]);
  expect(await farthestInThree(bytes, mended.bytes, isProp)).toBeLessThan(SAME);
});
