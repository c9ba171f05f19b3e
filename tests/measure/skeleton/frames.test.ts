import fc from 'fast-check';
import { Matrix4, Quaternion, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import type { Frame } from '../../../src/measure/skeleton/frame.js';
import { frameAngle, squareTo } from '../../../src/measure/skeleton/frames.js';

const RUNS = { seed: 20240229, numRuns: 500 };
/** Rounding of an arc tangent of float64 sums. Degrees. */
const ROUNDING = 1e-5;

const turn = fc
  .array(fc.integer({ min: -1000, max: 1000 }), { minLength: 4, maxLength: 4 })
  .filter((parts) => Math.hypot(...parts) > 10)
  .map(([x = 0, y = 0, z = 0, w = 1]) => new Quaternion(x, y, z, w).normalize());

function frameOf(turned: Quaternion): Frame {
  const [x, y, z] = [new Vector3(), new Vector3(), new Vector3()];
  new Matrix4().makeRotationFromQuaternion(turned).extractBasis(x, y, z);
  return [x.toArray(), y.toArray(), z.toArray()];
}

const still: Frame = frameOf(new Quaternion());

describe('the angle between two frames', () => {
  test('is that of the quaternion from one to the other (three.js: Quaternion.angleTo)', () => {
    fc.assert(
      fc.property(turn, turn, (a, b) => {
        const theirs = (a.angleTo(b) * 180) / Math.PI;
        // angleTo takes an arc cosine, which is blind to the last half of the digits near 0.
        const blind = theirs < 1 ? 1e-4 : ROUNDING;
        expect(Math.abs(frameAngle(frameOf(a), frameOf(b)) - theirs)).toBeLessThan(blind);
      }),
      RUNS,
    );
  });

  test.each([0, 1e-6, 0.01, 1, 90, 179.99, 180])('of a turn by %d° is that', (degrees) => {
    const about = new Quaternion().setFromAxisAngle(
      new Vector3(2, -1, 3).normalize(),
      (degrees * Math.PI) / 180,
    );
    expect(Math.abs(frameAngle(still, frameOf(about)) - degrees)).toBeLessThan(ROUNDING);
  });
});

/** The 24 turns that take the axes to axes: six choices for X, four for Y. */
const squares: Frame[] = [0, 1, 2].flatMap((i) =>
  [1, -1].flatMap((s) =>
    [0, 1, 2]
      .filter((j) => j !== i)
      .flatMap((j) =>
        [1, -1].map((t): Frame => {
          const x = new Vector3().setComponent(i, s);
          const y = new Vector3().setComponent(j, t);
          return [x.toArray(), y.toArray(), new Vector3().crossVectors(x, y).toArray()];
        }),
      ),
  ),
);

describe('frames are square to each other', () => {
  test('when they differ by quarter and half turns: 24, of which one is the same', () => {
    const found = squares.map((frame) => squareTo(still, frame, 1));
    expect(found.filter((kind) => kind === 'same')).toHaveLength(1);
    expect(found.filter((kind) => kind === 'turned')).toHaveLength(23);
    expect(squareTo(still, still, 1)).toBe('same');
  });

  test('in any direction, and either way round', () => {
    fc.assert(
      fc.property(turn, fc.constantFrom(...squares), (turned, square) => {
        const frame = frameOf(turned);
        const moved = square.map((axis) =>
          new Vector3(...axis).applyQuaternion(turned).toArray(),
        ) as unknown as Frame; // three axes in, three axes out
        const expected = squareTo(still, square, 1);
        expect([squareTo(frame, moved, 1), squareTo(moved, frame, 1)]).toEqual([
          expected,
          expected,
        ]);
      }),
      RUNS,
    );
  });

  test.each([
    [4.9, 'same'],
    [5.1, null],
    [45, null],
    [84.9, null],
    [85.1, 'turned'],
    [175.1, 'turned'],
  ])('within 5°: turned by %d° about an axis gives %s', (degrees, expected) => {
    for (const axis of [0, 1, 2]) {
      const about = new Quaternion().setFromAxisAngle(
        new Vector3().setComponent(axis, 1),
        (degrees * Math.PI) / 180,
      );
      expect(squareTo(still, frameOf(about), 5)).toBe(expected);
    }
  });
});
