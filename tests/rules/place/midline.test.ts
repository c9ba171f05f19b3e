import { describe, expect, test } from 'vitest';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { bothSides, type Card, cards } from '../../support/cards.js';
import { findingsOf, pathsOf } from '../../support/findings-of.js';
import { type TinyJoint, tinyGlb } from '../../support/tiny-rig.js';

/** Size of the rigs here, whose corner cards are 6 and 8 apart. Metres. */
const SIZE = 10;
const [GROUND, HIPS, CHEST, WING, LAMP] = [0, 1, 2, 3, 6];

interface Places {
  readonly ground?: number;
  readonly chest?: number;
  readonly feather?: number;
  readonly lamp?: number;
}

/** A carrier, hips, a chest with two wings, a feather on the left one alone, a lamp. x in metres. */
function joints({ ground = 0, chest = 0, feather = 2.5, lamp = 0 }: Places): TinyJoint[] {
  return [
    { name: 'ground', parent: -1, at: [ground, -4, 0] },
    { name: 'hips', parent: GROUND, at: [0, 0, 0] },
    { name: 'chest', parent: HIPS, at: [chest, 1, 0] },
    { name: 'wing_L', parent: CHEST, at: [2, 1, 0] },
    { name: 'wing_R', parent: CHEST, at: [-2, 1, 0] },
    { name: 'feather', parent: WING, at: [feather, 1, 0] },
    { name: 'lamp', parent: HIPS, at: [lamp, 0, 0.5] },
  ];
}

const body: readonly Card[] = [
  ...bothSides([
    { at: [3, 4, 0], by: [[HIPS, 1]] },
    { at: [3, -4, 0], by: [[HIPS, 1]] },
  ]),
  { at: [2, 1, 0], by: [[WING, 1]] },
  { at: [-2, 1, 0], by: [[WING + 1, 1]] },
];
/** Skin enough that one card off the middle leaves the mesh symmetric. */
const others = bothSides(
  Array.from({ length: 20 }, (_, k): Card => ({ at: [1, 0.1 * k, 1], by: [[HIPS, 1]] })),
);
const middle: readonly Card[] = [{ at: [0, 1, 0], by: [[CHEST, 1]] }];

const check = (places: Places, more: readonly Card[] = middle) =>
  findingsOf(tinyGlb(joints(places), cards([...body, ...more])), 'place.midline');

describe('an unpaired joint', () => {
  test.each([
    [0, []],
    [0.099, []],
    [-0.099, []],
    [0.101, ['ground/hips/chest']],
    [-0.101, ['ground/hips/chest']],
  ])('is told over 1 %% of size off the midline: at %d m', async (chest, expected) => {
    expect(pathsOf(await check({ chest }))).toEqual(expected);
  });

  test('is told with its measure, the limit and where to move it', async () => {
    const { findings, measured } = await check({ chest: 0.2 });
    expect(findings[0]?.message).toBe(
      '"chest" has no partner but stands 2 % of size (0.2 m) off the midline towards +X (limit 1 %).',
    );
    expect(findings[0]?.remedy).toContain('Move it by -0.2 along X');
    expect(measured).toMatchObject([{ kind: 'judged', looked: 2, short: 1, of: 'joints' }]);
  });

  test('is not held to the midline as a carrier, or below a paired joint', async () => {
    const { findings, measured } = await check({ ground: 1.5, feather: 1.1 });
    expect(findings).toEqual([]);
    expect(measured).toMatchObject([{ looked: 2 }]);
  });

  test('is told when its own skin follows it and what hangs below stands in the middle', async () => {
    const own: Card = { at: [0.2, 1, 0], by: [[CHEST, 1]] };
    expect(pathsOf(await check({ chest: 0.2 }, [...others, own]))).toEqual(['ground/hips/chest']);
  });

  test('is where it should be when its skin lies off to the same side, at least half as far', async () => {
    const skinAt = async (x: number) => {
      const glow: Card = { at: [x, 0, 0.5], by: [[LAMP, 1]] };
      return pathsOf(await check({ lamp: 0.5 }, [...middle, ...others, glow]));
    };
    expect(await skinAt(0.5)).toEqual([]);
    expect(await skinAt(0.26)).toEqual([]);
    expect(await skinAt(0.24)).toEqual(['ground/hips/lamp']);
    expect(await skinAt(-0.5)).toEqual(['ground/hips/lamp']);
  });
});

test('nothing is judged on a mesh that is not symmetric', async () => {
  const places = Array.from({ length: 8 }, (_, k): Vec3 => [1, 0.3 * k, 0.5]);
  const { measured } = await check(
    { chest: 0.5 },
    places.map((at) => ({ at, by: [[HIPS, 1]] })),
  );
  expect(measured).toMatchObject([
    { kind: 'not applicable', because: 'the mesh is not symmetric about its middle' },
  ]);
});

test('the sizes are as said', async () => {
  const { findings } = await check({ chest: 0.2 });
  expect(findings[0]?.measured).toBeCloseTo((100 * 0.2) / SIZE, 2);
});
