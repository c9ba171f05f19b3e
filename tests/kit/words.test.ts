import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { wordsFor } from '../../src/kit/words.js';
import { rigOf } from '../support/facts-of.js';

it('a length beyond all measure is told once, in words and without its share', async () => {
  const words = wordsFor(await rigOf(buildGlb('heron')), 2, 'm');
  expect(words.length(3e38)).toBe('over a million million m');
  expect(words.ofSize(3e38)).toBe('over a million million % of size');
  expect(words.length(0.5)).toBe('0.5 m (25 % of size)');
  expect(words.ofSize(25)).toBe('25 % of size (0.5 m)');
});
