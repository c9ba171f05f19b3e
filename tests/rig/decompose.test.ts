import fc from 'fast-check';
import { Matrix4, Quaternion, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { decompose, skew, turnDegrees } from '../../src/rig/decompose.js';
import { compose, determinant3, identity, invert, multiply } from '../../src/rig/mat4.js';

const RUNS = { seed: 20240229, numRuns: 500 };
/** Rounding of float64 through a dozen products. Of the largest entry. */
const ROUNDING = 1e-12;

const steps = (most: number) => fc.integer({ min: -most, max: most });
const place = fc
  .tuple(steps(5000), steps(5000), steps(5000))
  .map(([x, y, z]) => [x / 7, y / 7, z / 7]);
const turn = fc
  .tuple(steps(1000), steps(1000), steps(1000), steps(1000))
  .filter((parts) => Math.hypot(...parts) > 10)
  .map((parts) => parts.map((part) => part / Math.hypot(...parts)));
/** A thousandth to a thousand, either sign. */
const factor = fc
  .tuple(fc.integer({ min: -3000, max: 3000 }), fc.boolean())
  .map(([power, minus]) => (minus ? -1 : 1) * 10 ** (power / 1000));
const sizes = fc.tuple(factor, factor, factor);

const largest = (matrix: ArrayLike<number>): number => Math.max(...Array.from(matrix, Math.abs));
const apart = (a: ArrayLike<number>, b: ArrayLike<number>): number =>
  Math.max(...Array.from(a, (value, at) => Math.abs(value - (b[at] ?? Number.NaN))));

describe('a matrix made of translation, rotation and scale', () => {
  test('is that of three.js (Matrix4.compose)', () => {
    fc.assert(
      fc.property(place, turn, sizes, (t, r, s) => {
        const theirs = new Matrix4().compose(
          new Vector3().fromArray(t),
          new Quaternion().fromArray(r),
          new Vector3().fromArray(s),
        ).elements;
        expect(apart(compose(t, r, s), theirs)).toBeLessThan(ROUNDING * largest(theirs));
      }),
      RUNS,
    );
  });

  test('comes back when it is split and put together again, mirrored ones too', () => {
    fc.assert(
      fc.property(place, turn, sizes, (t, r, s) => {
        const matrix = compose(t, r, s);
        const { translation, rotation, scale } = decompose(matrix);
        expect(Math.abs(Math.hypot(...rotation) - 1)).toBeLessThan(ROUNDING);
        // Column by column: each has its own size, and its own rounding.
        const again = compose(translation, rotation, scale);
        for (const at of [0, 4, 8, 12]) {
          const [was, is] = [matrix.subarray(at, at + 4), again.subarray(at, at + 4)];
          expect(apart(was, is)).toBeLessThan(100 * ROUNDING * largest(was) + Number.MIN_VALUE);
        }
      }),
      RUNS,
    );
  });

  test('has a negative factor, or three, exactly when it mirrors', () => {
    fc.assert(
      fc.property(place, turn, sizes, (t, r, s) => {
        const { scale } = decompose(compose(t, r, s));
        const negative = scale.filter((size) => size < 0).length;
        expect(negative % 2).toBe(s.filter((size) => size < 0).length % 2);
        expect(negative).not.toBe(2);
      }),
      RUNS,
    );
  });

  test.each([[[-1, 1, 1]], [[1, -2, 1]], [[1, 1, -3]], [[-1, -1, -1]]])(
    'that only mirrors, by %j, is not split into a turn as well',
    (scale) => {
      const found = decompose(compose([1, 2, 3], [0, 0, 0, 1], scale));
      expect(turnDegrees(found.rotation)).toBe(0);
      expect(found.scale.map((size) => size + 0)).toEqual(scale);
    },
  );
});

describe('the inverse', () => {
  test('undoes the matrix, whatever its scale', () => {
    fc.assert(
      fc.property(place, turn, sizes, (t, r, s) => {
        const matrix = compose(t, r, s);
        const inverse = invert(matrix);
        if (inverse === null) throw new Error('no factor is zero');
        // Entries of the product are sums of terms as large as this.
        const reach = largest(matrix) * largest(inverse);
        expect(apart(multiply(matrix, inverse), identity())).toBeLessThan(ROUNDING * reach);
      }),
      RUNS,
    );
  });

  test.each([
    ['one factor is zero', [1, 0, 1]],
    ['all are', [0, 0, 0]],
    ['one is not a number', [1, Number.NaN, 1]],
  ])('is none where %s', (_title, scale) => {
    expect(invert(compose([0, 0, 0], [0, 0, 0, 1], scale))).toBeNull();
  });

  test('is none where two axes lie on each other, in any unit', () => {
    for (const unit of [1e-9, 1, 1e9]) {
      const flat = compose([0, 0, 0], [0, 0, 0, 1], [unit, unit, unit]);
      flat.set([unit, 0, 0], 4);
      expect(invert(flat)).toBeNull();
      // Within rounding of it: the inverse would be noise.
      flat.set([unit, 1e-12 * unit, 0], 4);
      expect(invert(flat)).toBeNull();
    }
  });

  test('is there for a very small scale', () => {
    expect(invert(compose([0, 0, 0], [0, 0, 0, 1], [1e-7, 1e-7, 1e-7]))?.[0]).toBeCloseTo(1e7, 3);
  });
});

test('the determinant is the product of the factors', () => {
  fc.assert(
    fc.property(turn, sizes, (r, s) => {
      const product = s[0] * s[1] * s[2];
      const found = determinant3(compose([9, 9, 9], r, s));
      expect(Math.abs(found / product - 1)).toBeLessThan(1e-9);
    }),
    RUNS,
  );
});

describe('skew', () => {
  test('is nothing for any turn and scale', () => {
    fc.assert(
      fc.property(turn, sizes, (r, s) => {
        expect(skew(compose([0, 0, 0], r, s))).toBeLessThan(1e-9);
      }),
      RUNS,
    );
  });

  test('of an unequal scale above a turn is the cosine it puts between the axes', () => {
    // diag(2, 1, 1) after a turn by 45° about Z: axes (2, 1) and (-2, 1), cosine -3/5.
    const half = Math.PI / 8;
    const sheared = multiply(
      compose([0, 0, 0], [0, 0, 0, 1], [2, 1, 1]),
      compose([0, 0, 0], [0, 0, Math.sin(half), Math.cos(half)], [1, 1, 1]),
    );
    expect(skew(sheared)).toBeCloseTo(0.6, 12);
  });
});
