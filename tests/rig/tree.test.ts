import { expect, test } from 'vitest';
import { branchOf, spreadDown, spreadUp, sumsBelow } from '../../src/rig/tree.js';

// 0 - 1 - 2, 0 - 3, and 4 by itself.
const tree = { parent: Int32Array.of(-1, 0, 1, 0, -1) };

test('marks spread to what is above, and to what is below', () => {
  expect([...spreadUp(tree, Uint8Array.of(0, 1, 0, 0, 0))]).toEqual([1, 1, 0, 0, 0]);
  expect([...spreadDown(tree, Uint8Array.of(0, 1, 0, 0, 0))]).toEqual([0, 1, 1, 0, 0]);
});

test('a branch is its top and all below it', () => {
  expect([...branchOf(tree, 0)]).toEqual([1, 1, 1, 1, 0]);
  expect([...branchOf(tree, 1)]).toEqual([0, 1, 1, 0, 0]);
  expect([...branchOf(tree, 4)]).toEqual([0, 0, 0, 0, 1]);
  expect([...branchOf(tree, -1)]).toEqual([0, 0, 0, 0, 0]);
});

test('numbers are added up with those of all joints below', () => {
  expect([...sumsBelow(tree, [1, 2, 4, 8, 16])]).toEqual([15, 6, 4, 8, 16]);
});
