import { describe, expect, it } from 'vitest';
import { angleWords, percentage, significant } from '../../src/kit/figures.js';

describe('significant figures', () => {
  it.each([
    [0, '0'],
    [-0, '0'],
    [92.44, '92.4'],
    [140, '140'],
    [29_900, '29900'],
    [0.012345, '0.0123'],
    [-180, '-180'],
    [1.234e-8, '0.0000000123'],
    [2e-7, '0.0000002'],
    [1.27e-14, '0'],
    [123456789, '123000000'],
    [2.5e11, '250000000000'],
    [3.4e38, 'over a million million'],
    [-Infinity, 'under minus a million million'],
    [Number.NaN, 'not a number'],
  ])('%d is %s', (value, words) => {
    expect(significant(value)).toBe(words);
  });

  it('never have an exponent, from the least number that there is to the largest', () => {
    for (let power = -323; power <= 308; power++)
      for (const digits of [1, 1.4, 9.999, -3.333])
        expect(significant(digits * 10 ** power)).toMatch(
          /^-?\d+(\.\d+)?$|^(over|under minus) a million million$/,
        );
  });
});

describe('percentages', () => {
  it.each([
    [28.34, '28.3 %'],
    [0.001, '0.001 %'],
    [0.0004, 'under 0.001 %'],
    [-0.0004, 'under 0.001 %'],
    [1.27e-14, '0 %'],
    [29_900, '29900 %'],
  ])('%d is %s', (value, words) => {
    expect(percentage(value)).toBe(words);
  });
});

it('angles have figures without rounding noise', () => {
  expect([92.44, 140, 2.5e-6, -30, 2e-4].map(angleWords)).toEqual([
    '92.4°',
    '140°',
    '0°',
    '-30°',
    '0.0002°',
  ]);
});
