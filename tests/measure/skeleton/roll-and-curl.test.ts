// Source: R. L. Bishop, "There is more than one way to frame a curve", American Mathematical Monthly
// 82 (1975): along a curve the relatively parallel frame turns against the Frenet frame by minus the
// torsion times the length. The closed forms of the curl are derived in the comments.
import { describe, expect, test } from 'vitest';
import { type Quat, turnAbout } from '../../../fixtures/kit/turns.js';
import {
  add,
  cross,
  dot,
  subtract,
  times,
  unit,
  type Vec3,
} from '../../../fixtures/kit/vectors.js';
import { conventions } from '../../../src/measure/skeleton/conventions.js';
import { curls } from '../../../src/measure/skeleton/curl.js';
import { circularMedian, segmentRolls, wrap } from '../../../src/measure/skeleton/roll.js';
import { carry, signedAngle, turn } from '../../../src/rig/vec3.js';
import { factsOf } from '../../support/facts-of.js';
import { aimXupY, chainJoints, tinyGlb, tubeSkin } from '../../support/tiny-rig.js';

/** Inverse bind matrices are float32: 2^-24 radians of turn, and as much again to read it off. */
const FLOAT32_DEGREES = 1e-5;
/** The same as a share of the segment. */
const FLOAT32_SHARE = 1e-6;

const radians = (degrees: number): number => (degrees * Math.PI) / 180;

/** A chain along the points, one frame a joint, in a thin closed tube. */
async function chainFacts(points: readonly Vec3[], turns: readonly Quat[], up: Vec3) {
  return factsOf(tinyGlb(chainJoints(points, turns), tubeSkin(points, 0.1, up)));
}

/** A straight level chain of unit bones, aim +X and up +Y, one joint rolled about its aim axis. */
function straightChain(bones: number, rolled: number, degrees: number) {
  const points = Array.from({ length: bones + 1 }, (_, k): Vec3 => [k, 0, 0]);
  const turns = points.map((_, k) => turnAbout([1, 0, 0], k === rolled ? degrees : 0));
  return chainFacts(points, turns, [0, 1, 0]);
}

const cases = [
  { bones: 4, rolled: 1, phi: 20 },
  { bones: 5, rolled: 4, phi: 90 },
  { bones: 6, rolled: 3, phi: -135 },
  { bones: 6, rolled: 2, phi: 180 },
  { bones: 9, rolled: 5, phi: 4.5 },
];

describe.each(cases)('a straight chain of $bones bones, joint $rolled rolled by $phi°', (given) => {
  const { bones, rolled, phi } = given;

  test('has that roll at that joint and none elsewhere', async () => {
    const facts = await straightChain(bones, rolled, phi);
    expect(conventions(facts)).toMatchObject({
      kind: 'aimed',
      aim: { middle: { index: 0, sign: 1 } },
      up: { index: 1, sign: 1 },
    });
    const [segment] = segmentRolls(facts);
    expect(segment?.joints).toEqual(Array.from({ length: bones + 1 }, (_, k) => k));
    segment?.rolls.forEach((roll, joint) => {
      if (joint === bones) expect(roll).toBeNull();
      else {
        const expected = joint === rolled ? phi : 0;
        // A half turn may be told with either sign.
        expect(Math.abs(wrap((roll ?? 999) - expected))).toBeLessThan(FLOAT32_DEGREES);
      }
    });
  });

  test('leaves its plane, when curled, by as much as the closed form says', async () => {
    const [curl] = curls(await straightChain(bones, rolled, phi));
    expect(Math.abs((curl?.drift ?? 0) - driftByHand(bones, rolled, phi))).toBeLessThan(
      FLOAT32_SHARE,
    );
    expect(curl?.worst).toBe(bones);
  });
});

test('with only the last bone rolled the drift is 2 sin(step) sin(phi/2) of one bone', async () => {
  // The last bone leaves joint n-1 at the step's angle from the one before, on a cone; rolled, it lies
  // elsewhere on that cone: two points phi apart on a circle of radius sin(step).
  const [bones, phi] = [5, 70];
  const step = radians(90 / bones);
  const [curl] = curls(await straightChain(bones, bones - 1, phi));
  const chord = 2 * Math.sin(step) * Math.sin(radians(phi) / 2);
  expect(Math.abs((curl?.drift ?? 0) - chord / bones)).toBeLessThan(FLOAT32_SHARE);
});

test('a straight chain without roll curls in its plane to a quarter turn', async () => {
  const bones = 6;
  const [curl] = curls(await straightChain(bones, 1, 0));
  expect(curl?.drift).toBeLessThan(FLOAT32_SHARE);
  // Joint k stands at the sum of (cos j step, -+ sin j step) over the bones before it, from j = 1 on: the
  // first joint turns as well.
  const end = [1, 2, 3, 4, 5, 6].reduce((sum, j) => sum + Math.cos(radians((90 / bones) * j)), 0);
  expect(curl?.carried.at(-1)?.[0]).toBeCloseTo(end, 5);
  expect(curl?.own.every((point) => Math.abs(point[1]) < FLOAT32_SHARE * bones)).toBe(true);
});

/**
 * Bones along x, up z, step t = 90°/n. Up to joint k, and after it, both chains turn alike; at k one
 * turns about z, the other about a = (0, -sin phi, cos phi). What lies beyond k is, seen from the
 * frame before k, s = the sum of (cos jt, sin jt, 0) over the q bones up to a joint. By Rodrigues'
 * formula the two places of that joint differ by R_a(t) s - R_z(t) s, which is
 *   x:  sin t (1 - cos phi) s_y
 *   y: -sin t (1 - cos phi) s_x + (1 - cos t) sin² phi s_y
 *   z:  sin t sin phi s_x - (1 - cos t) sin phi cos phi s_y.
 * Turning all about the side axis instead is the same picture, turned by 90° about x.
 */
function driftByHand(bones: number, rolled: number, degrees: number): number {
  const [t, phi] = [radians(90 / bones), radians(degrees)];
  let [sx, sy, most] = [0, 0, 0];
  for (let j = 0; j < bones - rolled; j++) {
    sx += Math.cos(j * t);
    sy += Math.sin(j * t);
    const x = Math.sin(t) * (1 - Math.cos(phi)) * sy;
    const y = -Math.sin(t) * (1 - Math.cos(phi)) * sx + (1 - Math.cos(t)) * Math.sin(phi) ** 2 * sy;
    const z =
      Math.sin(t) * Math.sin(phi) * sx - (1 - Math.cos(t)) * Math.sin(phi) * Math.cos(phi) * sy;
    most = Math.max(most, Math.hypot(x, y, z));
  }
  return most / bones;
}

describe('the circular median', () => {
  const ones = (angles: readonly unknown[]): number[] => angles.map(() => 1);
  const cases: [string, (number | null)[], number][] = [
    ['of nothing is 0', [], 0],
    ['of nothing but gaps is 0', [null, null], 0],
    ['of one angle is that angle', [null, 37, null], 37],
    ['of an odd number is the middle one', [10, -20, 3], 3],
    ['is not moved by one far off', [1, 2, 3, 179], 2],
    ['of angles about the back is one of them', [179, -179, 178], 179],
    ['of angles about the back is not the front', [-175, 175, 180, -170, 165], 180],
    ['of two that differ is the first, so that the second is blamed', [0, 90], 0],
  ];
  test.each(cases)('%s', (_title, angles, expected) => {
    expect(circularMedian(angles, ones(angles))).toBe(expected);
  });

  test('lets two halves that agree outweigh one whole, and two that differ not', () => {
    expect(circularMedian([0, 40, 40], [1, 0.5, 0.5])).toBe(40);
    expect(circularMedian([0, 40, -40], [1, 0.5, 0.5])).toBe(0);
    expect(circularMedian([0, 40, 40], [1, 0.4, 0.4])).toBe(0);
  });

  test('turns along when all angles turn', () => {
    const angles = [5, -12, 20, 8, -3];
    for (const by of [60, 175, -170])
      expect(
        circularMedian(
          angles.map((angle) => wrap(angle + by)),
          ones(angles),
        ),
      ).toBe(wrap(circularMedian(angles, ones(angles)) + by));
  });
});

test('wrap tells the same turn above -180° and up to 180°', () => {
  const told = [0, 180, -180, 181, -181, 360, 540, -540, 725].map((angle) => wrap(angle) + 0);
  expect(told).toEqual([0, 180, 180, -179, 179, 0, 180, 180, 5]);
});

/** Helix of radius a that climbs 2 pi b a turn; c = sqrt(a² + b²), torsion b / c², curvature a / c². */
const [a, b] = [1, 0.4];
const c = Math.hypot(a, b);
const helix = (angle: number): Vec3 => [a * Math.cos(angle), a * Math.sin(angle), b * angle];
const tangent = (angle: number): Vec3 => unit([-a * Math.sin(angle), a * Math.cos(angle), b]);
const normal = (angle: number): Vec3 => [-Math.cos(angle), -Math.sin(angle), 0];

describe('parallel transport', () => {
  test('in a plane keeps the direction across it', () => {
    let [up, before]: [Vec3, Vec3] = [
      [0, 0, 1],
      [1, 0, 0],
    ];
    for (const angle of [10, 75, 20, -60, 160]) {
      const next: Vec3 = [Math.cos(radians(angle)), Math.sin(radians(angle)), 0];
      up = [...carry(up, before, next)];
      before = next;
      expect(Math.hypot(...subtract(up, [0, 0, 1]))).toBeLessThan(1e-12);
    }
  });

  test('takes the one direction to the other and keeps lengths and angles', () => {
    const from = unit([1, 2, 3]);
    const to = unit([-2, 0.5, 1]);
    expect(Math.hypot(...subtract(carry(from, from, to), to))).toBeLessThan(1e-12);
    const [v, w] = [[0.3, -1, 2] as const, [1, 1, -4] as const];
    expect(dot(carry(v, from, to), carry(w, from, to))).toBeCloseTo(dot(v, w), 12);
  });

  test('is the product of two reflections, which is how the smallest rotation can be had too', () => {
    // Mirroring in the plane across `from`, then in that across from + to, takes `from` to `to` and
    // leaves what is square to both alone.
    const pairs: [Vec3, Vec3][] = [
      [unit([1, 2, 3]), unit([-2, 0.5, 1])],
      [unit([0, 0, 1]), unit([0.1, 0, -1])],
      [unit([1, 0, 0]), unit([1, 1e-7, 0])],
    ];
    for (const [from, to] of pairs) {
      const v: Vec3 = [0.7, -0.2, 1.1];
      const expected = reflect(reflect(v, from), unit(add(from, to)));
      expect(Math.hypot(...subtract(carry(v, from, to), expected))).toBeLessThan(1e-9);
    }
  });

  test('along a helix turns against the Frenet frame by minus the torsion times the length', () => {
    const [steps, turns] = [400, 2];
    const stepAngle = (2 * Math.PI * turns) / steps;
    let up = normal(0);
    for (let k = 1; k <= steps; k++)
      up = carry(up, tangent((k - 1) * stepAngle), tangent(k * stepAngle));
    const end = steps * stepAngle;
    const torsionTimesLength = ((b / c ** 2) * (c * end) * 180) / Math.PI;
    const found = signedAngle(normal(end), up, tangent(end));
    // The tangents run round a circle on the unit sphere of radius a/c, bending by b/a a unit. Steps
    // cut it short by arcs: each encloses (b/a) l^3 / 12 for a step of length l, and that is the turn
    // lost at each. To first order, so twice that is allowed.
    const lost = (steps * (b / a) * ((a / c) * stepAngle) ** 3 * 180) / 12 / Math.PI;
    expect(Math.abs(wrap(found + torsionTimesLength))).toBeLessThan(2 * lost);
    expect(torsionTimesLength).toBeGreaterThan(200);
  });
});

describe('frames along a curved chain', () => {
  const arch = Array.from(
    { length: 8 },
    (_, k): Vec3 => [4 * Math.sin(0.25 * k), 4 * Math.cos(0.25 * k), 0],
  );
  const spiral = Array.from({ length: 13 }, (_, k) => helix(0.5 * k));

  test.each([
    ['a planar', arch, [0, 0, 1]],
    ['a helical', spiral, [-1, 0, 0]],
  ] as [string, Vec3[], Vec3][])(
    'of %s kind, carried along, have no roll',
    async (_title, points, hint) => {
      const facts = await chainFacts(points, carried(points, hint), hint);
      const [segment] = segmentRolls(facts);
      const rolls = segment?.rolls.slice(0, -1) ?? [];
      expect(rolls).toHaveLength(points.length - 1);
      for (const roll of rolls) expect(Math.abs(roll ?? 999)).toBeLessThan(10 * FLOAT32_DEGREES);
      expect(curls(facts)[0]?.drift).toBeLessThan(10 * FLOAT32_SHARE);
    },
  );

  test('of a helix that follow its normal roll by torsion times length from joint to joint', async () => {
    const stepAngle = 0.25;
    const points = Array.from({ length: 13 }, (_, k) => helix(stepAngle * k));
    // Normals at the middle of each bone, where the chord runs along the tangent.
    const turns = points.map((_, k) => {
      const bone = Math.min(k, points.length - 2);
      return aimXupY(boneOf(points, bone), normal(stepAngle * (bone + 0.5)));
    });
    const [segment] = segmentRolls(await chainFacts(points, turns, [0, 0, 1]));
    const rolls = segment?.rolls.slice(0, -1) ?? [];
    const steps = rolls.slice(1).map((roll, k) => wrap((roll ?? 0) - (rolls[k] ?? 0)));
    // On a chord the climb is to the chord as b h to the hypotenuse of b h and 2a sin(h/2): the
    // directions run round a circle at cosine u = that ratio from the pole, h a step, and a vector
    // carried over a great arc between two of them falls back by h u, to third order in h.
    const rise = b * stepAngle;
    const u = rise / Math.hypot(rise, 2 * a * Math.sin(stepAngle / 2));
    const expected = (stepAngle * u * 180) / Math.PI;
    const thirdOrder = (((b / a) * ((a / c) * stepAngle) ** 3) / 12) * (180 / Math.PI);
    for (const step of steps) {
      expect(Math.abs(Math.abs(step) - expected)).toBeLessThan(2 * thirdOrder);
      expect(Math.abs(step - (steps[0] ?? 0))).toBeLessThan(10 * FLOAT32_DEGREES);
    }
    expect(steps[0]).toBeGreaterThan(0);
  });

  test('are told by their own roll even when one joint of the bend is flipped', async () => {
    const turns = carried(arch, [0, 0, 1]);
    const flipped = turns.map((_, k) => {
      const aim = boneOf(arch, Math.min(k, arch.length - 2));
      return k === 3 ? aimXupY(aim, [0, 0, -1]) : aimXupY(aim, [0, 0, 1]);
    });
    const [segment] = segmentRolls(await chainFacts(arch, flipped, [0, 0, 1]));
    const off = segment?.rolls.flatMap((roll, joint) =>
      roll !== null && Math.abs(roll) > 1 ? [[joint, Math.round(Math.abs(roll))]] : [],
    );
    expect(off).toEqual([[3, 180]]);
  });
});

test('turning about an axis is turning by an angle to the right of it', () => {
  expect(turn([1, 0, 0], [0, 0, 1], radians(90)).map((part) => Math.round(part) + 0)).toEqual([
    0, 1, 0,
  ]);
  expect(signedAngle([1, 0, 0], [0, 1, 0], [0, 0, 1])).toBeCloseTo(90, 12);
});

/** Frames whose up axis is carried by reflections, not by the code under test. */
function carried(points: readonly Vec3[], hint: Vec3): Quat[] {
  let aim = boneOf(points, 0);
  let up = unit(cross(cross(aim, hint), aim));
  return points.map((_, k) => {
    const next = k < points.length - 1 ? boneOf(points, k) : aim;
    up = reflect(reflect(up, aim), unit(add(aim, next)));
    aim = next;
    return aimXupY(aim, up);
  });
}

function boneOf(points: readonly Vec3[], bone: number): Vec3 {
  const [from, to] = [points[bone], points[bone + 1]];
  if (from === undefined || to === undefined) throw new Error(`there is no bone ${bone}`);
  return unit(subtract(to, from));
}

/** Mirrored in the plane across the unit vector `across`. */
function reflect(v: Vec3, across: Vec3): Vec3 {
  return subtract(v, times(across, 2 * dot(v, across)));
}
