import { expect, test } from 'vitest';
import { heaviestSlot } from '../../../src/measure/skin/skin-scale.js';

const slot = (masses: readonly number[], joints: readonly number[]): number =>
  heaviestSlot(Float64Array.from(masses), Int32Array.from(joints));

test('the heaviest slot is the one that moves most', () => {
  expect(slot([1, 3, 2], [0, 1, 2])).toBe(1);
});

test('of slots as good as alike it is that of the first joint, wherever the skin lists it', () => {
  expect(slot([3, 1, 3], [2, 0, 1])).toBe(2);
  expect(slot([3.0001, 1, 3], [2, 0, 1])).toBe(2);
  expect(slot([3.1, 1, 3], [2, 0, 1])).toBe(0);
});

test('a slot left out is none', () => {
  expect(slot([-1, 0], [0, 1])).toBe(1);
  expect(slot([-1, -1], [0, 1])).toBe(-1);
  expect(slot([], [])).toBe(-1);
});
