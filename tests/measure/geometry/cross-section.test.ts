import { describe, expect, test } from 'vitest';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { placeMiddle } from '../../../rules/place/middle.js';
import { crossSection } from '../../../src/measure/geometry/cross-section.js';
import { weld } from '../../../src/measure/geometry/weld.js';
import { factsOf } from '../../support/facts-of.js';
import {
  cardSkin,
  chainJoints,
  type TinyJoint,
  type TinySkin,
  tinyGlb,
  tubeSkin,
} from '../../support/tiny-rig.js';

/** Float32 positions. Of a metre. */
const FLOAT32 = 1e-6;
const RADIUS = 0.2;
const EIGHT = Math.PI / 8;

const run: readonly Vec3[] = [0, 1, 2, 3, 4].map((x): Vec3 => [x, 0, 0]);
const tube = tubeSkin(run, RADIUS, [0, 1, 0]);
const moved = (skin: TinySkin, [dx, dy, dz]: Vec3): TinySkin => ({
  ...skin,
  positions: skin.positions.map(([x, y, z]): Vec3 => [x + dx, y + dy, z + dz]),
});

function merge(...skins: readonly TinySkin[]): TinySkin {
  const positions: Vec3[] = [];
  const influences: Influence[][] = [];
  const triangles: [number, number, number][] = [];
  for (const skin of skins) {
    const first = positions.length;
    positions.push(...skin.positions);
    influences.push(...skin.influences);
    triangles.push(
      ...skin.triangles.map(([a, b, c]): [number, number, number] => [
        a + first,
        b + first,
        c + first,
      ]),
    );
  }
  return { positions, influences, triangles };
}

const onto = (skin: TinySkin, joint: number): TinySkin => ({
  ...skin,
  influences: skin.positions.map((): Influence[] => [[joint, 1]]),
});

async function sectionAt(
  joint: number,
  skin: TinySkin,
  joints: readonly TinyJoint[] = chainJoints(run),
) {
  return crossSection(await factsOf(tinyGlb(joints, skin)), joint);
}

describe('the section of a straight tube', () => {
  test.each([1, 2, 3])('at joint %i is its eight-sided ring', async (joint) => {
    const found = await sectionAt(joint, tube);
    expect(found?.encloses).toBe(true);
    expect(found?.off).toBeLessThan(FLOAT32);
    const area = 4 * RADIUS * RADIUS * Math.sin(2 * EIGHT);
    expect(Math.abs((found?.area ?? 0) - area)).toBeLessThan(FLOAT32);
    expect(found?.radius).toBeGreaterThan(RADIUS * Math.cos(EIGHT));
    expect(found?.radius).toBeLessThan(RADIUS);
    expect(found?.outline[0]).toEqual(found?.outline.at(-1));
    for (const [x] of found?.outline ?? []) expect(Math.abs(x - joint)).toBeLessThan(FLOAT32);
  });

  test('moved aside, the middle moves as far', async () => {
    const found = await sectionAt(2, moved(tube, [0, 0.05, -0.12]));
    expect(Math.abs((found?.off ?? 0) - 0.13)).toBeLessThan(FLOAT32);
    found?.centre.forEach((value, k) => {
      expect(Math.abs(value - ([2, 0.05, -0.12][k] ?? 0))).toBeLessThan(FLOAT32);
    });
  });

  test('beside the joint it is still found, and does not enclose it', async () => {
    const found = await sectionAt(2, moved(tube, [0, 0.3, 0]));
    expect(found?.encloses).toBe(false);
    expect(Math.abs((found?.off ?? 0) - 0.3)).toBeLessThan(FLOAT32);
  });
});

describe('which outline counts', () => {
  test('a sleeve hung askew is passed over for the arm within', async () => {
    const sleeve = moved(tubeSkin(run, 0.5, [0, 1, 0]), [0, 0.25, 0]);
    const found = await sectionAt(2, merge(sleeve, tube));
    expect(found?.off).toBeLessThan(FLOAT32);
    expect(found?.radius).toBeLessThan(RADIUS);
  });

  test('a form that another joint moves is not the joint’s own', async () => {
    const own = onto(
      tubeSkin(
        [
          [9, 9, 9],
          [9.2, 9, 9],
        ],
        0.01,
        [0, 1, 0],
      ),
      2,
    );
    expect(await sectionAt(2, merge(onto(tube, 1), own))).toBeNull();
  });

  test('a knuckle at the edge of the palm is not judged by the palm', async () => {
    const palm = onto(
      tubeSkin(
        [
          [0, 0, 0],
          [1, 0, 0],
          [1.2, 0, 0],
        ],
        0.4,
        [0, 1, 0],
      ),
      0,
    );
    const fingers = [-0.3, 0.3].map((z, i): TinySkin => {
      const along: readonly Vec3[] = [
        [1, 0, z],
        [1.3, 0, z],
        [1.6, 0, z],
      ];
      return onto(tubeSkin(along, 0.08, [0, 1, 0]), 1 + 2 * i);
    });
    const at = (parent: number, place: Vec3): TinyJoint => ({
      name: `rod ${place.join(' ')}`,
      parent,
      at: place,
    });
    const hand = [
      at(-1, [0, 0, 0]),
      at(0, [1, 0, -0.3]),
      at(1, [1.6, 0, -0.3]),
      at(0, [1, 0, 0.3]),
      at(3, [1.6, 0, 0.3]),
    ];
    const facts = await factsOf(tinyGlb(hand, merge(palm, ...fingers)));
    // The rule asks nothing of them at all: they are where fingers leave the palm.
    expect(placeMiddle.check(facts, { middle: 60 })).toMatchObject({ kind: 'not applicable' });
    // With the fingers' own skin away, only the palm is left, far off their joints' middle.
    const bare = await factsOf(
      tinyGlb(hand, merge(palm, ...fingers.map((f) => moved(f, [5, 0, 0])))),
    );
    expect([crossSection(bare, 1), crossSection(bare, 3)]).toEqual([null, null]);
  });

  test('an open tube has no section', async () => {
    const open = { ...tube, triangles: tube.triangles.filter((_, i) => i % 8 !== 0) };
    expect(await sectionAt(2, open)).toBeNull();
  });

  test('nor has one whose own form is open, though a closed one goes round both', async () => {
    const open = { ...tube, triangles: tube.triangles.filter((_, i) => i % 8 !== 0) };
    const sleeve = tubeSkin(run, 0.5, [0, 1, 0]);
    expect((await sectionAt(2, sleeve))?.off).toBeLessThan(FLOAT32);
    expect(await sectionAt(2, merge(sleeve, open))).toBeNull();
  });

  test('nor has a joint where the chain turns back on itself', async () => {
    const on = (y: number, x: number) =>
      chainJoints([
        [1, 0, 0],
        [2, 0, 0],
        [x, y, 0],
      ]);
    const both: Influence[] = [
      [0, 0.5],
      [1, 0.5],
    ];
    // Cut lengthwise it is closed as well, and all within reach.
    const short = tubeSkin(run.slice(1, 4), RADIUS, [0, 1, 0]);
    const skin = { ...short, influences: short.positions.map(() => both) };
    expect(await sectionAt(1, skin, on(0.1, 2.8))).not.toBeNull();
    expect(await sectionAt(1, skin, on(0.1, 1.2))).toBeNull();
  });
});

describe('the rule', () => {
  const skinAt = (y: number) => factsOf(tinyGlb(chainJoints(run), moved(tube, [0, y, 0])));
  const mean = async (): Promise<number> => (await sectionAt(2, tube))?.radius ?? 0;

  test('tells every inner joint off the middle by its share of the radius', async () => {
    const outcome = placeMiddle.check(await skinAt(0.16), { middle: 60 });
    if (outcome.kind !== 'judged') throw new Error(outcome.because);
    expect(outcome.findings.map(({ place }) => place)).toEqual(
      [0, 1, 2, 3].map((joint) => ({ kind: 'joint', joint })),
    );
    const share = (100 * 0.16) / (await mean());
    expect(outcome.findings[2]?.measured).toBeCloseTo(share, 2);
  });

  test('is silent up to its limit', async () => {
    const radius = await mean();
    const [under, over] = [await skinAt(0.59 * radius), await skinAt(0.61 * radius)];
    expect(placeMiddle.check(under, { middle: 60 })).toMatchObject({ short: 0 });
    expect(placeMiddle.check(over, { middle: 60 })).toMatchObject({ short: 4 });
  });

  test('is silent where the joint stands in a gap of the mesh, beside the form that is cut', async () => {
    const cards = cardSkin(run.map(([x]): Vec3 => [x + 0.2, 0, 0.1]));
    const oneSided = { ...cards, triangles: cards.triangles.filter((_, i) => i % 4 < 2) };
    const beside = moved(tube, [0, 0.3, 0]);
    const told = async (skin: TinySkin) =>
      placeMiddle.check(await factsOf(tinyGlb(chainJoints(run), skin)), { middle: 60 });
    expect(await told(beside)).toMatchObject({ looked: 4, short: 4 });
    expect(await told(merge(beside, oneSided))).toMatchObject({ looked: 4, short: 0 });
  });
});

test('welding gives points at one place one number, zero and minus zero alike', () => {
  const spots: Vec3[] = [
    [0, 0, 0],
    [2, 2, 2],
    [-0, 0, 0],
    [0, -0, 0],
    [0, 0, -0],
    [0, 0, 1e-30],
    [2, 2, 2],
  ];
  expect([...weld(Float32Array.from(spots.flat()))]).toEqual([0, 1, 0, 0, 0, 5, 1]);
});

test('welding takes a heap of points that are no numbers for one place, in no time', () => {
  const heap = new Float32Array(3 * 100_000).fill(Number.NaN);
  expect(new Set(weld(heap))).toEqual(new Set([0]));
});
