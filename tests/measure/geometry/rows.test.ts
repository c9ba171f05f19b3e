import { expect, test } from 'vitest';
import { rowsOf } from '../../../src/measure/geometry/rows.js';

test('things stand row by row, in their own order, and rows can be empty', () => {
  const { first, order } = rowsOf(Int32Array.of(2, 0, 2, 0), 4);
  expect([...first]).toEqual([0, 2, 2, 4, 4]);
  expect([...order]).toEqual([1, 3, 0, 2]);
});
