import { expect, test } from 'vitest';
import { boxAround, boxAt, cornersOf, diagonal } from '../../src/rig/box.js';

const box = { min: [0, 0, 0], max: [2, 3, 6] } as const;

test('a box is around its own corners', () => {
  expect(boxAround(cornersOf(box))).toEqual(box);
  expect(cornersOf(box)[0]).toEqual(box.min);
  expect(cornersOf(box)[7]).toEqual(box.max);
  expect(new Set(cornersOf(box).map(String)).size).toBe(8);
});

test('the diagonal of a box is the distance of its ends', () => {
  expect(diagonal(box)).toBe(7);
});

test('a packed box is read by its number, and an empty one is none', () => {
  const packed = Float64Array.of(
    ...boxAround([]).min,
    ...boxAround([]).max,
    ...box.min,
    ...box.max,
  );
  expect(boxAt(packed, 0)).toBeNull();
  expect(boxAt(packed, 1)).toEqual(box);
  expect(boxAt(undefined, 0)).toBeNull();
});
