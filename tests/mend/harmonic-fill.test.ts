import { expect, it, test } from 'vitest';
import type { Gap, Shares } from '../../src/mend/weights/gaps.js';
import { harmonicFill } from '../../src/mend/weights/harmonic-fill.js';

const one = (joint: number): Shares => new Map([[joint, 1]]);

/** Gaps in a row between two ends, each edge of one strength. */
function row(count: number, kept: Shares, ends: readonly [Shares, Shares]): Gap[] {
  return Array.from({ length: count }, (_, at) => ({
    kept,
    edges: [
      { to: at === 0 ? ends[0] : at - 1, strength: 1 },
      { to: at === count - 1 ? ends[1] : at + 1, strength: 1 },
    ],
  }));
}

test('what a place keeps holds it to itself, and the more so the more it is', () => {
  // x = k + (1 - k) mean, with both ends 0: in the middle of three, from x1 = k + (1 - k) x2 / 2.
  const kept = 0.6;
  const filled = harmonicFill(row(3, new Map([[4, kept]]), [one(9), one(9)]));
  const middle = (kept * (2 - kept)) / (1 - (1 - kept) ** 2 / 2);
  expect(filled[1]?.get(4)).toBeCloseTo(middle, 9);
  const held = harmonicFill(row(3, new Map([[4, 0.95]]), [one(9), one(9)]));
  expect(held[1]?.get(4) ?? 0).toBeGreaterThan(0.99);
});

it('a long row is solved as exactly as a short one', () => {
  const count = 2000;
  const filled = harmonicFill(row(count, new Map(), [one(0), one(1)]));
  const off = filled.map((shares, at) => Math.abs((shares?.get(1) ?? 9) - (at + 1) / (count + 1)));
  expect(Math.max(...off)).toBeLessThan(1e-6);
});

it('gaps that touch nothing and keep nothing stay open; one alone is what it keeps', () => {
  const nothing: Gap = { kept: new Map(), edges: [{ to: 1, strength: 1 }] };
  const other: Gap = { kept: new Map(), edges: [{ to: 0, strength: 1 }] };
  const alone: Gap = { kept: new Map([[7, 0.2]]), edges: [] };
  expect(harmonicFill([nothing, other, alone])).toEqual([null, null, one(7)]);
});
