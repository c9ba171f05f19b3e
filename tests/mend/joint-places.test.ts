// Sources: three.js (npm `three`) for where vertices stand before and after, see `skins-in-three.ts`; the closed
// form of a limb that bends by linear blend skinning, 1 - (1 - c) / 6 -+ (y0 / L) sin, derived by hand at the head
// of `src/measure/bend/bend-lab.ts` from the sum of glTF 2.0, 3.7.3 Skins.
import { describe, expect, test } from 'vitest';
import { faultNamed, faults } from '../../fixtures/faults/index.js';
import type { Influence } from '../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';
import { zoneOf } from '../../src/measure/bend/bend-lab.js';
import { bendMeasurer } from '../../src/measure/bend/bend-measures.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { jointPlaces } from '../../src/mend/repairs/joint-places.js';
import { splitGlb } from '../fixtures/read-back.js';
import { blendTube } from '../support/blend-tube.js';
import { factsOf } from '../support/facts-of.js';
import { chainJoints, type TinySkin, tinyGlb } from '../support/tiny-rig.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { type Dresser, dressed, hangProps } from './dressed.js';
import { farthestSkin, REST } from './skins-in-three.js';
import { farthestInThree } from './worlds-in-three.js';

/** What a mend may move. Share of the figure's reach. */
const SAME = 1e-5;

function faulty(name: string, dress?: (dresser: Dresser) => void): Uint8Array {
  const fault = faultNamed(name);
  return dressed(fault.puppet, (puppet) => fault.apply(puppet, fault.failing), dress);
}

async function placeOf(bytes: Uint8Array, name: string): Promise<readonly number[]> {
  const facts = await factsOf(bytes);
  return bindPose(facts).places[facts.rig.joints.names.indexOf(name)] ?? [];
}

/** Turns a joint by a quarter about X and back. */
function turn(dresser: Dresser, name: string, angle = Math.PI / 2): void {
  const [x = 0, y = 0, z = 0, w = 1] = dresser.node(name).rotation ?? [];
  const [sine, cosine] = [Math.sin(angle / 2), Math.cos(angle / 2)];
  const turned = [
    w * sine + x * cosine,
    y * cosine + z * sine,
    z * cosine - y * sine,
    w * cosine - x * sine,
  ];
  const values = Float32Array.from([x, y, z, w, ...turned, x, y, z, w]);
  dresser.key(
    dresser.named(name),
    'rotation',
    [0, 1, 2],
    dresser.accessor(values, 'VEC4'),
    'LINEAR',
  );
}

const still = ({ json }: Dresser): void => {
  delete json.animations;
};

const exact = faults.filter(
  ({ rule, name }) => jointPlaces.rules.includes(rule) && name !== 'foreleg-too-high',
);

describe.each(exact.map(({ name }) => name))('%s', (name) => {
  test('is put right exactly, its frames along with it', async () => {
    const bytes = faulty(name);
    const mended = await applyRepair(bytes, jointPlaces);
    expect(mended.left).toEqual([]);
    expect(mended.changes.length).toBeGreaterThan(0);
    // Nothing else comes up, such as a frame that is no longer aimed along its bone.
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(mended.shift).toBeLessThan(SAME);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
    const again = await applyRepair(mended.bytes, jointPlaces);
    expect(again.changes).toEqual([]);
  });
});

describe('a joint that a clip turns', () => {
  const kicking = (): Uint8Array =>
    faulty('knees-in-the-air', (dresser) => {
      still(dresser);
      turn(dresser, 'shin_L');
    });

  test('is left where it is, with its partner and the share that skin would move by', async () => {
    const mended = await applyRepair(kicking(), jointPlaces);
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ place, why }) => `${place}: ${why}`)).toEqual(
      ['L', 'R'].map((side) =>
        expect.stringMatching(
          new RegExp(
            `^carrier/hips/thigh_${side}/shin_${side}: clips turn it, and would turn it about its new place, so that skin moves by up to [\\d.]+ % of size; allow that with --allow-change place.inside$`,
          ),
        ),
      ),
    );
  });

  test('moves where that is allowed: the stored pose stays, and clips show what was told', async () => {
    const bytes = kicking();
    const [left] = (await applyRepair(bytes, jointPlaces)).left;
    const told = Number(/up to ([\d.]+) %/.exec(left?.why ?? '')?.[1]);
    const mended = await applyRepair(bytes, jointPlaces, { allow: new Set(['place.inside']) });
    expect(mended.seen).toEqual(['place.inside']);
    expect(mended.changes).toHaveLength(2);
    expect(await farthestSkin(bytes, mended.bytes, (pose) => pose === REST)).toBeLessThan(SAME);
    expect(100 * mended.shift).toBeGreaterThan(0.5);
    expect(100 * mended.shift).toBeLessThan(told * 1.005);
    // Skin that hangs on the shin alone moves by all of it; three figures are told.
    expect(100 * mended.shift).toBeGreaterThan(told * 0.995);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    // The knee stays where it is against the thigh, so that it is what the shin turns about.
    const { json } = splitGlb(mended.bytes);
    const channels = json.animations?.flatMap((clip) => clip.channels) ?? [];
    expect(channels.map(({ target }) => target.path)).toEqual(['rotation']);
  });

  test('moves exactly where its keys only repeat how it is stored', async () => {
    const bytes = faulty('knees-in-the-air', (dresser) => {
      still(dresser);
      turn(dresser, 'shin_L', 0);
      turn(dresser, 'thigh_L');
    });
    const mended = await applyRepair(bytes, jointPlaces);
    expect(mended.changes).toHaveLength(2);
    expect(mended.seen).toEqual([]);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  });
});

test('a pair is mended on the side that stands off its skin, by all its joints', async () => {
  const bytes = faulty('foreleg-too-high');
  const kept = await placeOf(bytes, 'forearm_L');
  const { left, changes } = await applyRepair(bytes, jointPlaces);
  expect([changes.length, left.length]).toEqual([0, 8]);
  const mended = await applyRepair(bytes, jointPlaces, { allow: new Set(['place.pair']) });
  expect(mended.changes.map(({ place }) => place.split('/').at(-1))).toEqual([
    'foreleg_R',
    'forearm_R',
    'fore_cannon_R',
    'fore_hoof_R',
  ]);
  expect(mended.changes.map(({ before }) => before.split(';')[0])).toEqual(
    Array(4).fill("0.0536 m off its partner's mirrored place"),
  );
  const [x = 0, y = 0, z = 0] = kept;
  const mirrored = await placeOf(mended.bytes, 'forearm_R');
  expect(
    Math.hypot((mirrored[0] ?? 0) + x, (mirrored[1] ?? 0) - y, (mirrored[2] ?? 0) - z),
  ).toBeLessThan(1e-5);
  expect(await findingsOf(mended.bytes)).toEqual([]);
  expect(await farthestSkin(bytes, mended.bytes, (pose) => pose === REST)).toBeLessThan(SAME);
});

test('what hangs on the joint stays, be it a mesh, a camera, a light, or what clips move', async () => {
  const bytes = faulty('neck-in-the-air', (dresser) => {
    hangProps(dresser, 'neck_mid');
  });
  const mended = await applyRepair(bytes, jointPlaces);
  expect([mended.changes.length, mended.left]).toEqual([1, []]);
  const isProp = (name: string): boolean => name.startsWith('prop');
  expect(await farthestInThree(bytes, mended.bytes, isProp)).toBeLessThan(SAME);
});

test('a joint that a spring swings, or that shows a mesh, stays in its place', async () => {
  const sprung = faulty('neck-in-the-air', (dresser) => {
    const joints = ['neck_mid', 'neck_high'].map((name) => ({ node: dresser.named(name) }));
    dresser.json.extensionsUsed = ['VRMC_springBone'];
    dresser.json.extensions = {
      VRMC_springBone: { specVersion: '1.0', springs: [{ name: 'sway', joints }] },
    };
  });
  const shown = faulty('neck-in-the-air', (dresser) => {
    dresser.node('neck_mid').mesh = dresser.plainMesh();
  });
  const why = await Promise.all(
    [sprung, shown].map(async (bytes) => (await applyRepair(bytes, jointPlaces)).left[0]?.why),
  );
  expect(why).toEqual([
    'a spring (VRMC_springBone) hangs on "neck_mid", which would move',
    expect.stringMatching(/^it carries a mesh/),
  ]);
});

describe('a joint under the skin of a bent tube', () => {
  const [height, radius] = [0.2, 0.3];
  const [sine, cosine] = [Math.sqrt(3) / 2, 1 / 2];
  const even = 1 - (1 - cosine) / 6;
  const rods = chainJoints([
    [-0.6, 0, 0],
    [0, 0, 0],
    [0.6, 0, 0],
  ]);
  const bytes = tinyGlb(rods, blendTube({ from: -0.5, to: 0.5, steps: 48, radius, height }));

  test('moves to its middle, and keeps the volume that the closed form gives', async () => {
    const before = await factsOf(bytes);
    const mended = await applyRepair(bytes, jointPlaces);
    const [x = 0, y = 0, z = 0] = await placeOf(mended.bytes, 'rod 2');
    expect(Math.hypot(x, y - height, z)).toBeLessThan(1e-6);
    const after = await factsOf(mended.bytes);
    // About one axis of the world, both ways: the frames are turned after their bones.
    const keptBy = (facts: typeof before): number => {
      const bend = bendMeasurer(zoneOf(facts, 1), 60, 0);
      const kept = [1, -1].map((z) => bend([0, 0, z]).volumeKept ?? Number.NaN);
      return Math.min(...kept);
    };
    // Flat rings between curved skin, and float32. Share of the volume.
    expect(Math.abs(keptBy(before) - (even - height * sine))).toBeLessThan(1e-3);
    expect(Math.abs(keptBy(after) - even)).toBeLessThan(1e-3);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
    expect(mended.changes.map(({ place }) => place)).toEqual(['rod 1', 'rod 1/rod 2']);
    const [, change] = mended.changes;
    const volumeIn = (words = ''): number => Number(/keeps ([\d.]+) % of/.exec(words)?.[1]) / 100;
    expect(Math.abs(volumeIn(change?.before) - (even - height * sine))).toBeLessThan(1e-3);
    expect(Math.abs(volumeIn(change?.after) - even)).toBeLessThan(1e-3);
    expect(change?.before).toMatch(/^0\.2 m off the middle of its section; bent 60°, /);
  });
});

test('a joint below a thin fin, whose limb would bend worse about the middle of both, stays', async () => {
  const rods = chainJoints([
    [-0.9, 0, 0],
    [0.002, 0, 0],
    [0.9, 0, 0],
  ]);
  const limb = blendTube({ from: -0.5, to: 0.5, steps: 48, radius: 0.3 });
  const positions = limb.positions.map(
    ([x, y, z]): Vec3 => [x, Math.abs(x) < 0.01 && y > 0 ? 6 * y : y, z],
  );
  const bytes = tinyGlb(rods, { ...limb, positions });
  const mended = await applyRepair(bytes, jointPlaces);
  expect(mended.changes).toEqual([]);
  expect(mended.left).toEqual([
    {
      rule: 'place.midline',
      place: 'rod 1',
      why: 'the skin of it lies on the same side; turn the figure to face along Z, or pair the joint',
    },
    {
      rule: 'place.middle',
      place: 'rod 1/rod 2',
      why: expect.stringMatching(
        /^the skin would bend worse there: bent 60°, it keeps [\d.]+ % of its volume, .*, now bent 60°, it keeps /,
      ),
    },
  ]);
});

describe('two joints in one place', () => {
  const rods = chainJoints([
    [0, 1, 0],
    [0, 1, 0],
  ]);
  const rungs = [0, 0.5, 1, 1.5, 2];
  /** A strip that bends at its middle rung, each pair of triangles cut the same way. */
  const strip: TinySkin = {
    positions: rungs.flatMap((y): Vec3[] => [
      [-0.5, y, 0],
      [0.5, y, 0],
    ]),
    triangles: rungs.slice(1).flatMap((_, rung): [number, number, number][] => [
      [2 * rung, 2 * rung + 1, 2 * rung + 3],
      [2 * rung, 2 * rung + 3, 2 * rung + 2],
    ]),
    influences: rungs.flatMap((y): Influence[][] => {
      const list: Influence[] = [
        ['0', 1 - y / 2],
        ['1', y / 2],
      ];
      return [list, list];
    }),
  };

  test('get a bone: the root goes into its own skin, and stays on the midline', async () => {
    const bytes = tinyGlb(rods, strip);
    expect(await findingsOf(bytes)).toContain('chain.length rod 2');
    const mended = await applyRepair(bytes, jointPlaces);
    expect(mended.changes.map(({ rule, place }) => `${rule} ${place}`)).toEqual([
      'chain.length rod 1',
    ]);
    const [x = 1, y = 1] = await placeOf(mended.bytes, 'rod 1');
    expect(Math.abs(x)).toBeLessThan(1e-6);
    expect(y).toBeLessThan(0.75);
    expect(await placeOf(mended.bytes, 'rod 2')).toEqual(await placeOf(bytes, 'rod 2'));
    expect(await findingsOf(mended.bytes)).not.toContain('chain.length rod 2');
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  });
});

test('a joint is not moved onto the one next to it', async () => {
  const tube = blendTube({ from: 0.4, to: 1.4, steps: 8, radius: 0.3 });
  // Stood upright, so that the midline runs along it.
  const positions = tube.positions.map(([x, y, z]): Vec3 => [-y, x, z]);
  const rods = chainJoints([
    [0, 0.9, 0],
    [0.2, 0.9, 0],
    [0, 1.6, 0],
  ]);
  const mended = await applyRepair(tinyGlb(rods, { ...tube, positions }), jointPlaces);
  expect(mended.left).toEqual([
    {
      rule: 'place.midline',
      place: 'rod 1/rod 2',
      why: 'there it would stand on the joint next to it',
    },
  ]);
});
