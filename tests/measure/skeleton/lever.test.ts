import { describe, expect, test } from 'vitest';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { bodyRoot } from '../../../src/measure/skeleton/body-root.js';
import { lever } from '../../../src/measure/skeleton/lever.js';
import { skinMass } from '../../../src/measure/skin/skin-mass.js';
import { factsOf } from '../../support/facts-of.js';
import { cardSkin, chainJoints, type TinySkin, tinyGlb } from '../../support/tiny-rig.js';

/*
 * By hand, for a rod from 0 to 1 with skin m(x) dx on it. cost(a) is the integral of m(x) |x - a|.
 *
 * Tube, m = 1: cost(0) = 1/2, the middle has 1/4: lever 2.
 * Cone, m = x (the area of its skin grows with its radius): from the thin end 1/3, from the thick end
 * 1/6. Least at the median a = 1/sqrt 2, where cost = 1/3 - a/2 + a^3/3 = (1 - a)/3. Levers:
 * 1/(1 - a) = 2 + sqrt 2 = 3.414 from the thin end, half that, 1.707, from the thick end.
 *
 * With joints at 0, 1, ..., N, a ring of skin round each, moved by it alone. A band between two rings
 * is triangles of one height; each gives a third of its area to each corner. A ring of radius r
 * between others on one slope then has skin 2r (in one unit), the first ring 2/3 r + 1/3 of the
 * next's radius, the last likewise.
 *
 * Tube, r = 1: skin 1, 2, ..., 2, 1. cost(a) = N^2 - 2aN + 2a^2. From an end N^2; least at N/2.
 * Cone, r = x: skin 1/3, 2, 4, ..., 2(N-1), N - 1/3, N^2 in all. cost(a) = 2N^3/3 - aN^2 + 2a^3/3,
 * from the thin end 2N^3/3, from the thick end N^3/3; least at the whole number next to N/sqrt 2.
 * For whole a these are the figures of the smooth rod: only the best place has to be a joint.
 */

/** Float32 positions. Of the lever. */
const FLOAT32 = 1e-5;

const tube = (N: number, a: number): number => N ** 2 - 2 * a * N + 2 * a ** 2;
const cone = (N: number, a: number): number => (2 * N ** 3) / 3 - a * N ** 2 + (2 * a ** 3) / 3;

const along = (N: number): Vec3[] => Array.from({ length: N + 1 }, (_, k) => [k, 0, 0]);

/** An open skin of rings of the given radii at x = 0, 1, ..., each moved by its own joint. */
function ringSkin(radii: readonly number[], around = 8): TinySkin {
  const vertex = (ring: number, k: number): number => ring * around + (k % around);
  const spokes = Array.from({ length: around }, (_, k) => k);
  return {
    positions: radii.flatMap((radius, x) =>
      spokes.map((k): Vec3 => {
        const angle = (2 * Math.PI * k) / around;
        return [x, radius * Math.cos(angle), radius * Math.sin(angle)];
      }),
    ),
    triangles: radii.slice(1).flatMap((_, ring) =>
      spokes.flatMap((k): [number, number, number][] => [
        [vertex(ring, k), vertex(ring, k + 1), vertex(ring + 1, k)],
        [vertex(ring + 1, k), vertex(ring, k + 1), vertex(ring + 1, k + 1)],
      ]),
    ),
    influences: radii.flatMap((_, joint) => spokes.map((): Influence[] => [[joint, 1]])),
  };
}

async function leverOf(radii: readonly number[]) {
  const facts = await factsOf(tinyGlb(chainJoints(along(radii.length - 1)), ringSkin(radii)));
  const found = lever(facts);
  if (found === null) throw new Error('the rig has skin');
  return { facts, ...found };
}

const thinFirst = (N: number): number[] => Array.from({ length: N + 1 }, (_, k) => 0.02 * k);
const thickFirst = (N: number): number[] => thinFirst(N).reverse();

describe('the skin of a ring', () => {
  test('is a third of the triangles at its corners, as the figures below take it', async () => {
    const N = 6;
    const { facts } = await leverOf(thinFirst(N));
    const mass = skinMass(facts).ofJoint;
    const unit = (mass[1] ?? 0) / 2;
    const expected = [1 / 3, 2, 4, 6, 8, 10, N - 1 / 3];
    expected.forEach((value, joint) => {
      expect(Math.abs((mass[joint] ?? 0) / unit - value)).toBeLessThan(N * FLOAT32);
    });
  });
});

describe('a uniform chain rooted at its end', () => {
  test.each([2, 8, 50])('has lever exactly 2 with %i bones, an even number', async (N) => {
    const { value, best } = await leverOf(Array.from({ length: N + 1 }, () => 0.05));
    expect(Math.abs(value - 2)).toBeLessThan(2 * FLOAT32);
    expect(best).toBe(N / 2);
  });

  test.each([3, 9])('has lever 2N² / (N² + 1) with %i bones, an odd number', async (N) => {
    const { value } = await leverOf(Array.from({ length: N + 1 }, () => 0.05));
    const byHand = tube(N, 0) / tube(N, (N - 1) / 2);
    expect(byHand).toBeCloseTo((2 * N ** 2) / (N ** 2 + 1), 12);
    expect(Math.abs(value - byHand)).toBeLessThan(2 * FLOAT32);
  });
});

describe('a cone', () => {
  test.each([5, 10, 33])('of %i bones rooted at its thick end has the lever by hand', async (N) => {
    const { value } = await leverOf(thickFirst(N));
    const least = Math.min(...along(N).map((_, a) => cone(N, a)));
    expect(Math.abs(value - cone(N, N) / least)).toBeLessThan(2 * FLOAT32);
  });

  test.each([5, 10, 33])('of %i bones rooted at its thin end has the lever by hand', async (N) => {
    const { value } = await leverOf(thinFirst(N));
    const least = Math.min(...along(N).map((_, a) => cone(N, a)));
    expect(Math.abs(value - cone(N, 0) / least)).toBeLessThan(4 * FLOAT32);
  });

  // 70/99 is nearly 1/sqrt 2, so joint 70 of 99 is nearly the median: off by 4e-5 of a bone, and the
  // cost is flat there.
  test('of many bones has the levers of the smooth rod, 1.707 and 3.414', async () => {
    const [thick, thin] = [await leverOf(thickFirst(99)), await leverOf(thinFirst(99))];
    expect(Math.abs(thick.value - (1 + Math.SQRT1_2))).toBeLessThan(1e-4);
    expect(Math.abs(thin.value - (2 + Math.SQRT2))).toBeLessThan(1e-4);
    expect([thick.best, thin.best]).toEqual([29, 70]);
  });
});

describe('the lever of a tree', () => {
  // Five cards of equal skin: a hub, three arms of one joint at 1, and one of 2 beyond the first arm.
  const places: Vec3[] = [
    [0, 0, 0],
    [1, 0, 0],
    [0, 1, 0],
    [0, -1, 0],
    [2, 0, 0],
  ];
  const parents = [-1, 0, 0, 0, 1];

  test('counts paths along bones, not straight lines', async () => {
    // Rooted at the tip (2, 0, 0): paths 0, 1, 2, 3, 3 = 9. From the hub: 0, 1, 1, 1, 2 = 5.
    const order = [4, 1, 0, 2, 3];
    const above = [-1, 0, 1, 2, 2];
    const joints = order.map((place, index) => ({
      name: `peg ${index}`,
      parent: above[index] ?? -1,
      at: places[place] ?? ([0, 0, 0] as const),
    }));
    const facts = await factsOf(tinyGlb(joints, cardSkin(joints.map(({ at }) => at))));
    const found = lever(facts);
    expect(found?.best).toBe(facts.rig.joints.names.indexOf('peg 2'));
    expect(Math.abs((found?.value ?? 0) - 9 / 5)).toBeLessThan(FLOAT32);
  });

  test('is 1 when the root is the best place', async () => {
    const joints = places.map((at, index) => ({
      name: `peg ${index}`,
      parent: parents[index] ?? -1,
      at,
    }));
    const found = lever(await factsOf(tinyGlb(joints, cardSkin(places))));
    expect(found).toEqual({ value: 1, best: 0 });
  });

  test('is taken from the body root, below a carrier that moves no skin', async () => {
    const rod: Vec3[] = [
      [0, 0, 0],
      [1, 0, 0],
      [2, 0, 0],
    ];
    const joints = [
      { name: 'ground', parent: -1, at: [-40, 0, 0] as const },
      ...rod.map((at, index) => ({ name: `peg ${index}`, parent: index, at })),
    ];
    const skin = cardSkin(rod);
    const influences = skin.influences.map((list) =>
      list.map(([joint, weight]): Influence => [Number(joint) + 1, weight]),
    );
    const facts = await factsOf(tinyGlb(joints, { ...skin, influences }));
    expect(bodyRoot(facts)).toMatchObject({ joint: 1, carriers: [0] });
    // Paths from the end 0 + 1 + 2 = 3, from the middle 1 + 0 + 1 = 2.
    expect(Math.abs((lever(facts)?.value ?? 0) - 3 / 2)).toBeLessThan(FLOAT32);
  });

  test('has nothing to say of a rig whose skin has no area', async () => {
    expect(lever(await factsOf(tinyGlb(chainJoints(along(3)), null)))).toBeNull();
  });
});
