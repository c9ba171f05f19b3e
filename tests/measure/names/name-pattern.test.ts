import { expect, test } from 'vitest';
import {
  LONGEST_PATTERN,
  PLAIN_PATTERN,
  readPattern,
} from '../../../src/measure/names/name-pattern.js';

test('a pattern that takes the longer to read the more it is told apart is refused before it is read', () => {
  // Read to its end, this one would take half an hour: the cube of its length.
  const pattern = `{${'-'.repeat(10_000)}a\na${'-'.repeat(10_000)}}`;
  const start = performance.now();
  expect(readPattern(pattern)).toBe('has 20005 letters (limit 100); write it shorter');
  expect(performance.now() - start).toBeLessThan(1000);
});

test('the slowest pattern of the longest that are read takes no time to speak of', () => {
  const half = '-'.repeat((LONGEST_PATTERN - 6) / 2);
  const start = performance.now();
  expect(readPattern(`{${half}a\na${half}}`)).toContain('which is not a known part');
  expect(performance.now() - start).toBeLessThan(1000);
  expect(readPattern(PLAIN_PATTERN)).toHaveLength(3);
});
