import { expect, test } from 'vitest';
import { nameExpression } from '../../src/house/name-pattern.js';
import { fitsPattern } from '../../src/measure/contract.js';

const pattern = (text: string) => ({ text, expression: nameExpression(text) });

test('a name without wildcards stands for itself alone, however long', () => {
  const text = 'n'.repeat(300);
  expect(fitsPattern({ text, expression: null }, text)).toBe(true);
  expect(fitsPattern({ text: 'a.b', expression: null }, 'axb')).toBe(false);
});

test('a pattern fits no name longer than 255 letters, which would take long to tell', () => {
  expect(fitsPattern(pattern('a*'), 'a'.repeat(255))).toBe(true);
  expect(fitsPattern(pattern('a*'), 'a'.repeat(256))).toBe(false);
  const start = performance.now();
  expect(fitsPattern(pattern('*a*a*ab'), `${'a'.repeat(254)}c`)).toBe(false);
  expect(fitsPattern(pattern('*a*a*ab'), `${'a'.repeat(100_000)}c`)).toBe(false);
  expect(performance.now() - start).toBeLessThan(2000);
});
