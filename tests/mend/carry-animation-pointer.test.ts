// Sources: KHR_animation_pointer of KhronosGroup/glTF (Examples, Node Rotation: a pointer to a node's
// rotation and a plain target are one animation); glTF 2.0, C.5; three.js (npm `three`), which is
// handed the same animation with plain targets.
import { describe, expect, test } from 'vitest';
import { faultNamed } from '../../fixtures/faults/index.js';
import { holderOf } from '../../fixtures/kit/changes.js';
import { glb } from '../../fixtures/kit/containers.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { targetOf } from '../../src/asset/animation-pointer.js';
import type { Repair } from '../../src/mend/repair.js';
import { turnedFrames } from '../../src/mend/repairs/frames.js';
import { scaleUnit } from '../../src/mend/repairs/scale-unit.js';
import { splitGlb } from '../fixtures/read-back.js';
import { modelOf } from '../support/facts-of.js';
import { applyRepair } from './apply-repair.js';
import { type Dresser, dressed, hangProps } from './dressed.js';
import { farthestInThree, worldsInThree } from './worlds-in-three.js';

/** Entries of world matrices of figures of some metres: float32 storage. */
const SAME = 1e-5;

/** A target as a file may have it. */
type Target = Record<string, unknown>;

const pointed = (pointer: string): Target => ({
  path: 'pointer',
  extensions: { KHR_animation_pointer: { pointer } },
});

/** Says by pointers what all clips move. */
function point(dresser: Dresser): void {
  for (const { channels } of dresser.json.animations ?? [])
    for (const channel of channels) {
      const { node, path } = channel.target;
      Object.assign(channel, { target: pointed(`/nodes/${node}/${path}`) });
    }
  dresser.json.extensionsUsed = [
    ...((dresser.json.extensionsUsed as string[] | undefined) ?? []),
    'KHR_animation_pointer',
  ];
}

/** The same file with plain targets. */
function plain(bytes: Uint8Array): Uint8Array {
  const { json, binary } = splitGlb(bytes);
  let count = 0;
  for (const { channels } of json.animations ?? [])
    for (const channel of channels) {
      const { pointer = '' } =
        (channel.target as { extensions?: { KHR_animation_pointer?: { pointer?: string } } })
          .extensions?.KHR_animation_pointer ?? {};
      const [, node, path] = /^\/nodes\/(\d+)\/(\w+)$/.exec(pointer) ?? [];
      if (node === undefined) continue;
      count++;
      Object.assign(channel, { target: { node: Number(node), path } });
    }
  if (count === 0) throw new Error('no pointers');
  return glb(JSON.stringify(json), Buffer.from(binary));
}

function grown(puppet: Puppet): void {
  holderOf(puppet).scale = [0.01, 0.01, 0.01];
  puppet.joint('neck_mid').scale = [1.5, 1.5, 1.5];
}

const spline = (dresser: Dresser, name: string): void => {
  const moves = [0, 0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 1, 1, 0, 0, 0];
  const output = dresser.accessor(Float32Array.from(moves), 'VEC3');
  dresser.key(dresser.named(name), 'translation', [0, 1], output, 'CUBICSPLINE');
};

/** A clip that turns what the fixtures' clips may leave still. */
const turning = (dresser: Dresser, name: string): void => {
  const turns = [0.6, 0, 0, 0.8, 0, 0.6, 0, 0.8, 0.36, 0.48, 0, 0.8];
  const output = dresser.accessor(Float32Array.from(turns), 'VEC4');
  dresser.key(dresser.named(name), 'rotation', [0, 1, 2], output, 'LINEAR');
};

describe('clips that move nodes by pointers', () => {
  const cases: readonly (readonly [string, Repair, () => Uint8Array, string])[] = [
    [
      'a turned shin',
      turnedFrames,
      () =>
        dressed(
          'heron',
          () => undefined,
          (dresser) => {
            hangProps(dresser, 'shin_L');
            spline(dresser, 'toe_L');
            turning(dresser, 'toe_L');
            point(dresser);
          },
          { faults: [faultNamed('flipped-shin')] },
        ),
      'toe_L',
    ],
    [
      'scales above each other',
      scaleUnit,
      () =>
        dressed('heron', grown, (dresser) => {
          hangProps(dresser, 'neck_high');
          spline(dresser, 'neck_high');
          turning(dresser, 'neck_mid');
          point(dresser);
        }),
      'prop',
    ],
  ];

  test.each(cases)('%s: show the same at all times', async (_title, repair, make, seen) => {
    const bytes = make();
    const mended = await applyRepair(bytes, repair);
    expect(mended.left).toEqual([]);
    expect(mended.changes.length).toBeGreaterThan(0);
    expect(mended.shift).toBeLessThan(SAME);
    const [before, after] = [plain(bytes), plain(mended.bytes)];
    const isSeen = (name: string): boolean => name.startsWith(seen) || name.startsWith('prop');
    expect(await farthestInThree(before, after, isSeen)).toBeLessThan(SAME);
    // They do move, and every node keeps its place at every time.
    const [a, b] = [await worldsInThree(before), await worldsInThree(after)];
    const place = (worlds: Map<string, number[]> | undefined, name: string): number[] =>
      worlds?.get(name)?.slice(12, 15) ?? [];
    const [some = ''] = [...(a[0]?.keys() ?? [])].filter((name) => name.startsWith(seen));
    expect(place(a[3], some)).not.toEqual(place(a[1], some));
    a.forEach((worlds, time) => {
      for (const name of worlds.keys())
        place(worlds, name).forEach((value, axis) => {
          expect(Math.abs(value - (place(b[time], name)[axis] ?? Number.NaN))).toBeLessThan(SAME);
        });
    });
    // Pointers stay pointers.
    const targets = (of: Uint8Array): unknown =>
      splitGlb(of).json.animations?.map(({ channels }) => channels.map(({ target }) => target));
    expect(targets(mended.bytes)).toEqual(targets(bytes));
  });

  test('are clips of the rig, so that the proof plays them', async () => {
    const make = (change: (dresser: Dresser) => void): Uint8Array =>
      dressed('heron', () => undefined, change);
    const [own, same] = [await modelOf(make(() => undefined)), await modelOf(make(point))];
    const channels = ({ rigs }: typeof own): unknown => rigs.map(({ clips }) => clips);
    expect(own.rigs[0]?.clips[0]?.channels.length).toBeGreaterThan(0);
    expect(channels(same)).toEqual(channels(own));
  });

  test('to what is not there, or is no transform, are passed over', async () => {
    const bytes = dressed(
      'heron',
      () => undefined,
      (dresser) => {
        const [channel] = dresser.json.animations?.[0]?.channels ?? [];
        for (const pointer of [
          '/nodes/999/rotation',
          '/nodes/01/rotation',
          '/materials/0/alphaCutoff',
        ])
          dresser.json.animations?.[0]?.channels.push({
            sampler: channel?.sampler ?? 0,
            ...{ target: pointed(pointer) as unknown as { node: number; path: string } },
          });
      },
    );
    const [own, odd] = [await modelOf(dressed('heron', () => undefined)), await modelOf(bytes)];
    expect(odd.rigs[0]?.clips).toEqual(own.rigs[0]?.clips);
    expect(targetOf({ path: 'pointer' })).toBeNull();
    expect(targetOf({ path: 'weights' })).toBeNull();
    expect(targetOf(pointed('/nodes/7/scale'))).toEqual({ node: 7, path: 'scale' });
  });
});

describe('pointers to what is carried are refused with a word', () => {
  const make = (pointer: (shin: number) => string): Uint8Array =>
    dressed(
      'heron',
      () => undefined,
      (dresser) => {
        const node = dresser.named('shin_L');
        const sphere = { offset: [0.1, 0, 0], radius: 1 };
        dresser.json.extensions = {
          VRMC_springBone: { colliders: [{ node, shape: { sphere } }] },
        };
        const output = dresser.accessor(Float32Array.of(0, 0, 0, 1, 1, 1), 'VEC3');
        dresser.key(node, 'x', [0, 1], output, 'LINEAR');
        const channel = dresser.json.animations?.[0]?.channels.at(-1);
        Object.assign(channel ?? {}, { target: pointed(pointer(node)) });
      },
      { faults: [faultNamed('flipped-shin')] },
    );

  test.each([
    [
      () => '/extensions/VRMC_springBone/colliders/0/shape/sphere/offset',
      /^a clip moves \/extensions\/VRMC_springBone\/colliders\/0\/shape\/sphere\/offset \(KHR_animation_pointer\), which is relative to the frame of "shin_L"$/,
    ],
    [
      (shin: number) => `/nodes/${shin}/rotation/0`,
      /^a clip moves \/nodes\/\d+\/rotation\/0 \(KHR_animation_pointer\), a single number of a transform that would change$/,
    ],
  ])('%s', async (pointer, why) => {
    const bytes = make(pointer);
    const mended = await applyRepair(bytes, turnedFrames);
    expect([mended.changes.length, mended.left.length]).toEqual([0, 1]);
    expect(mended.left[0]?.why).toMatch(why);
    expect(Buffer.from(mended.bytes).equals(Buffer.from(bytes))).toBe(true);
  });

  test('others stay', async () => {
    const pointer = '/extensions/VRMC_springBone/colliders/0/shape/sphere/radius';
    const mended = await applyRepair(
      make(() => pointer),
      turnedFrames,
    );
    expect([mended.changes.length, mended.left]).toEqual([1, []]);
    expect(splitGlb(mended.bytes).json.animations?.[0]?.channels.at(-1)?.target).toEqual(
      pointed(pointer),
    );
  });
});
