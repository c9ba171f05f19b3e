import { describe, expect, test } from 'vitest';
import { csvTable } from '../../src/report/csv-table.js';

/** The one cell below the heading, as written. */
function written(cell: string | number | null): string {
  const text = csvTable(['a', 'b'], [[cell, null]]);
  return text.slice('"a","b"\r\n'.length, -',\r\n'.length);
}

describe('a table', () => {
  test('has a heading and rows that all end in CRLF', () => {
    const rows = [
      ['heron', 1.5],
      ['mule', null],
    ];
    expect(csvTable(['name', 'metres'], rows)).toBe(
      '"name","metres"\r\n"heron",1.5\r\n"mule",\r\n',
    );
    expect(csvTable(['name'], [])).toBe('"name"\r\n');
  });

  test('refuses a row of another length', () => {
    expect(() => csvTable(['a', 'b'], [['heron']])).toThrow(
      new RangeError('a row of 1 cells in a table of 2 columns'),
    );
  });

  test.each([
    [-3, '-3'],
    [0, '0'],
    [1 / 3, '0.333333333'],
    [1e-7, '1e-7'],
    [Number.NaN, ''],
    [Number.POSITIVE_INFINITY, ''],
    [null, ''],
    ['', ''],
    ['-3', `"'-3"`],
    ['say "a, b"', '"say ""a, b"""'],
    ['a;b', '"a;b"'],
    ['a\u0000b', '"ab"'],
    ['knaeb\u202ehcra', '"knaeb\\u202ehcra"'],
  ])('writes %j as %s', (cell, expected) => {
    expect(written(cell)).toBe(expected);
  });

  // Source: OWASP, CSV Injection, the list of first characters (as of 0e5e8f0 of its text); that the
  // full-width forms belong to it is from memory of a later one.
  const first = ['=', '+', '-', '@', '\uff1d', '\uff0b', '\uff0d', '\uff20', '\t', '\r', '\n'];
  test.each(first)('begins no cell with %j', (letter) => {
    for (const before of ['', ' ', '"', "'", '\u00a0"', '\u0000'])
      expect(written(`${before}${letter}1`)).toMatch(/^"'/);
    expect(written(`heron; ${letter}1`)).toMatch(/^"heron;' /);
    expect(written(`heron${letter}1`)).toMatch(/^"heron/);
  });
});
