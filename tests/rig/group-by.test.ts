import { expect, test } from 'vitest';
import { groupBy } from '../../src/rig/group-by.js';

test('lists stand in the order in which each begins, and keep their own', () => {
  const groups = groupBy(['mule', 'heron', 'moth', 'hen'], (name) => name.charAt(0));
  expect([...groups]).toEqual([
    ['m', ['mule', 'moth']],
    ['h', ['heron', 'hen']],
  ]);
});
