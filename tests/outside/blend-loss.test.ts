// Source: closed forms of what linear blend skinning does to a limb, derived by hand (written out at
// the head of src/measure/bend/bend-lab.ts) from the sum of glTF 2.0, 3.7.3 Skins. With c the cosine of the
// angle, s the share that turns along and m the mean of s (1 - s) over the blend:
//   twist: 1 - 2 m (1 - c); over linear weights m = 1/6, so (2 + c) / 3, a third at a half turn.
//   bend:  1 - m (1 - c) - (y0 / L) sin, y0 the height of the limb's middle over the joint.
// Both cases are shown, without the figures, in J. P. Lewis, M. Cordner, N. Fong 2000, "Pose Space
// Deformation" (from memory).
import { describe, expect, test } from 'vitest';
import { zoneOf } from '../../src/measure/bend/bend-lab.js';
import { type BendMeasures, bendMeasurer } from '../../src/measure/bend/bend-measures.js';
import type { Vec3 } from '../../src/rig/vec3.js';
import { type BlendTube, blendTube } from '../support/blend-tube.js';
import { factsOf } from '../support/facts-of.js';
import { chainJoints, tinyGlb } from '../support/tiny-rig.js';

/** Flat rings between curved skin, 48 over a blend, and float32. Share of the volume. */
const FINE = 5e-4;
/** Positions and weights as stored. Share of the volume. */
const FLOAT32 = 1e-6;
const STEPS = 48;
const L = 1;
const tube: BlendTube = { from: -L / 2, to: L / 2, steps: STEPS, radius: 0.3 };

const X: Vec3 = [1, 0, 0];
const Y: Vec3 = [0, 1, 0];
const Z: Vec3 = [0, 0, 1];
const back = ([x, y, z]: Vec3): Vec3 => [-x, -y, -z];
const cosine = (degrees: number): number => Math.cos((degrees * Math.PI) / 180);
const sine = (degrees: number): number => Math.sin((degrees * Math.PI) / 180);

/** Turns a joint at `x` along the limb, and measures the skin around it. */
async function turned(shape: BlendTube, axis: Vec3, degrees: number, x = 0): Promise<BendMeasures> {
  const joints = chainJoints([
    [-3, 0, 0],
    [x, 0, 0],
  ]);
  const facts = await factsOf(tinyGlb(joints, blendTube(shape)));
  return bendMeasurer(zoneOf(facts, 1), degrees, 0)(axis);
}

async function kept(...args: Parameters<typeof turned>): Promise<number> {
  return (await turned(...args)).volumeKept ?? Number.NaN;
}

describe.each([30, 60, 90, 120, 180])('a limb blended evenly, turned by %i degrees', (degrees) => {
  const c = cosine(degrees);

  test('keeps (2 + c) / 3 when it is twisted', async () => {
    expect(Math.abs((await kept(tube, X, degrees)) - (2 + c) / 3)).toBeLessThan(FINE);
    expect(Math.abs((await kept(tube, back(X), degrees)) - (2 + c) / 3)).toBeLessThan(FINE);
  });

  test.each([Y, back(Y), Z, back(Z)])(
    'keeps 1 - (1 - c) / 6 when it bends about %j',
    async (...axis) => {
      expect(Math.abs((await kept(tube, axis, degrees)) - (1 - (1 - c) / 6))).toBeLessThan(FINE);
    },
  );

  test.each([-0.4, 0.9])('bends alike about a joint %d along it', async (x) => {
    expect(Math.abs((await kept(tube, Z, degrees, x)) - (1 - (1 - c) / 6))).toBeLessThan(FINE);
  });

  test.each([0.1, -0.3])(
    'whose middle is %d over the joint gains or loses that over L',
    async (height) => {
      const even = 1 - (1 - c) / 6;
      const tilt = (height / L) * sine(degrees);
      const raised = { ...tube, height };
      expect(Math.abs((await kept(raised, Z, degrees)) - (even - tilt))).toBeLessThan(FINE);
      expect(Math.abs((await kept(raised, back(Z), degrees)) - (even + tilt))).toBeLessThan(FINE);
      expect(Math.abs((await kept(raised, Y, degrees)) - even)).toBeLessThan(FINE);
    },
  );
});

// Up to a half over a quarter of the blend, level for half of it, up again: m = (1/6 + 1/4) / 2.
test('weights that stay at half and half lose more, by the mean of s (1 - s)', async () => {
  const share = (part: number): number => Math.min(2 * part, 0.5) + Math.max(0, 2 * part - 1.5);
  const c = cosine(60);
  const m = (1 / 6 + 1 / 4) / 2;
  expect(Math.abs((await kept({ ...tube, share }, X, 60)) - (1 - 2 * m * (1 - c)))).toBeLessThan(
    FINE,
  );
  expect(Math.abs((await kept({ ...tube, share }, Z, 60)) - (1 - m * (1 - c)))).toBeLessThan(FINE);
});

// Twisted, evenly blended edges along the limb stay straight, so that few rings do as well as many.
test('a twist is exact whatever the number of rings', async () => {
  for (const steps of [2, 5, 48]) {
    const found = await kept({ ...tube, steps }, X, 90);
    expect(Math.abs(found - (2 + cosine(90)) / 3)).toBeLessThan(FLOAT32);
  }
});

test('the error of a bend falls with the square of the distance of the rings', async () => {
  const exact = 1 - (1 - cosine(90)) / 6;
  const [coarse, fine] = [
    Math.abs((await kept({ ...tube, steps: 8 }, Z, 90)) - exact),
    Math.abs((await kept({ ...tube, steps: 16 }, Z, 90)) - exact),
  ];
  expect(coarse / fine).toBeGreaterThan(3.5);
  expect(coarse / fine).toBeLessThan(4.5);
});

/*
 * With w = x + i y and h = half the angle, the slope of the skin along the limb is, but for a turn,
 * cos h + 2 sin h (r / L) + i (4 s - 2) sin h on the outer side, largest at both ends of the blend;
 * on the inner side + becomes -, and skin turns inside out where cos h < 2 sin h (r / L).
 */
test.each([0.2, 0.4])(
  'at radius %d of L, the outer side stretches as its slope tells',
  async (radius) => {
    const h = 30;
    const slope = Math.hypot(cosine(h) + 2 * sine(h) * (radius / L), 2 * sine(h));
    // The edge next to the end of the blend is half a step short of it. Of its length.
    const { stretch } = await turned({ ...tube, radius }, Z, 2 * h);
    expect(Math.abs(stretch - slope)).toBeLessThan(1 / STEPS);
  },
);

test.each([
  [0.8, false],
  [0.95, true],
])('at radius %d of L x cot(h) / 2 the inner side turns inside out: %s', async (part, inside) => {
  const radius = (part * L * cosine(30)) / (2 * sine(30));
  // A corner of the ring lies on the inner side, but triangles lie a little nearer to the middle.
  const { inverted } = await turned({ ...tube, radius: radius * (inside ? 1.15 : 1) }, Z, 60);
  expect(inverted > 0).toBe(inside);
});
