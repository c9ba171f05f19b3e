import { expect, test } from 'vitest';
import { whySeen } from '../../src/mend/weights/spot-words.js';

test.each([
  [0.02, 3, 'a vertex moves by at least 2 % of the size (limit 0.0005 %)'],
  [Infinity, 0, 'a vertex that has no place now gets one'],
  [1e-6, 3.25, 'a normal turns by at least 3.25° (limit 0.005°)'],
])('a move of %d and a turn of %d are told', (moved, turned, words) => {
  expect(whySeen('skin.stray', moved, turned)).toBe(
    `a pose of this file would show it: ${words}; if it may show, add --allow-change skin.stray`,
  );
});
