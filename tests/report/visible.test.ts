import { describe, expect, test } from 'vitest';
import { visible } from '../../src/report/visible.js';

describe('visible', () => {
  test('leaves the letters, marks and whole surrogate pairs of every script alone', () => {
    const text = 'Héron, 鷺, بلشون, 🏮 ~ "quoted" \\u202e';
    expect(visible(text)).toBe(text);
  });

  test.each([
    ['\u0000', '\\u0000'],
    ['\u001b', '\\u001b'],
    ['\n', '\\u000a'],
    ['\r', '\\u000d'],
    ['\t', '\\u0009'],
    ['\u007f', '\\u007f'],
    ['\u0080', '\\u0080'],
    ['\u009f', '\\u009f'],
    ['\u061c', '\\u061c'],
    ['\u200e', '\\u200e'],
    ['\u200f', '\\u200f'],
    ['\u2028', '\\u2028'],
    ['\u2029', '\\u2029'],
    ['\u202a', '\\u202a'],
    ['\u202e', '\\u202e'],
    ['\u2066', '\\u2066'],
    ['\u2069', '\\u2069'],
    ['\ud83c', '\\ud83c'],
    ['\udfee', '\\udfee'],
  ])('shows %j as %s', (control, shown) => {
    expect(visible(`a${control}b${control}`)).toBe(`a${shown}b${shown}`);
  });

  test.each([' ', '~', '\u00a0', '\u200d', '\u2027', '\u202f', '\u2065', '\u206a'])(
    'leaves %j, next to a control, alone',
    (neighbour) => {
      expect(visible(neighbour)).toBe(neighbour);
    },
  );
});
