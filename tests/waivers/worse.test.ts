import fc from 'fast-check';
import { expect, it } from 'vitest';
import { areMore, isWorse, ledgerNumber } from '../../src/waivers/worse.js';

const measures = fc.double({ min: 1e-12, max: 1e9, noNaN: true });

it('what is written of a measure is no better than it, has four figures, and accepts it again', () => {
  fc.assert(
    fc.property(measures, fc.boolean(), fc.boolean(), (size, negative, least) => {
      const value = negative ? -size : size;
      const written = ledgerNumber(value, least);
      if (least) expect(written).toBeLessThanOrEqual(value);
      else expect(written).toBeGreaterThanOrEqual(value);
      expect(Math.abs(written - value)).toBeLessThanOrEqual(Math.abs(value) * 1.01e-3);
      if (!Number.isInteger(value)) expect(Number(written.toPrecision(4))).toBe(written);
      const now = { measured: value, limit: null, unit: 'degrees' };
      expect(isWorse(now, written, least)).toBe(false);
    }),
    { seed: 16, numRuns: 2000 },
  );
});

it.each([
  [10, 10.9, false],
  [10, 11.1, true],
  [0, 1e-10, false],
  [0, 0.1, true],
])('from %d accepted to %d is worse: %s', (accepted, measured, worse) => {
  expect(isWorse({ measured, limit: 1, unit: '%' }, accepted, false)).toBe(worse);
});

it.each([
  [0.09, 0.081, false],
  [0.09, 0.078, true],
  [-1, -1.0001, false],
  [-1, -1.2, true],
])('where smaller is worse, from %d to %d is worse: %s', (accepted, measured, worse) => {
  expect(isWorse({ measured, limit: 0.1, unit: 'times' }, accepted, true)).toBe(worse);
});

it.each([
  ['%', 7.58e-6, 1.04e-5, 0.1, false],
  ['%', 7.58e-6, 9e-4, 0.1, false],
  ['%', 7.58e-6, 1.1e-3, 0.1, true],
  ['%', 0.2, 0.221, 0.1, true],
  ['joints', 1, 2, 1000, true],
])(
  'growth under a hundredth of the limit is none: in %s from %d to %d, limit %d, is worse: %s',
  (unit, accepted, measured, limit, worse) => {
    expect(isWorse({ measured, limit, unit }, accepted, false)).toBe(worse);
  },
);

it('vertices are more where their number and their share grew', () => {
  expect(areMore({ short: 12, of: 100 }, { short: 10, of: 100 })).toBe(true);
  expect(areMore({ short: 11, of: 100 }, { short: 10, of: 100 })).toBe(false);
  expect(areMore({ short: 40, of: 400 }, { short: 10, of: 100 })).toBe(false);
  expect(areMore({ short: 1, of: 100 }, { short: 0, of: 0 })).toBe(true);
});

it('what lies far under its limit is not worse for its last digits', () => {
  const now = (measured: number) => ({ measured, limit: 0.1, unit: '% of size' });
  expect(isWorse(now(0.0000104), 0.00000758, false)).toBe(false);
  expect(isWorse(now(0.0015), 0.0003, false)).toBe(true);
});

it.each(['joints', 'names', 'clips'])('one more of %s is worse, however many there are', (unit) => {
  expect(isWorse({ measured: 101, limit: 0, unit }, 100, false)).toBe(true);
  expect(isWorse({ measured: 100, limit: 0, unit }, 100, false)).toBe(false);
});
