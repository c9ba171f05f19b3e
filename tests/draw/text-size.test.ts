import { expect, it } from 'vitest';
import { cut, fitText, shortName, textWidth, wrapText } from '../../src/draw/text-size.js';

it('no line is wider than asked for, and no word is lost', () => {
  const text = `"shin_L" is rolled 180° about its aim axis against its segment (limit 30°). ${'w'.repeat(300)} end`;
  const lines = wrapText(text, 12, 200);
  for (const line of lines) expect(textWidth(line, 12)).toBeLessThanOrEqual(200);
  expect(lines.join('').replaceAll(' ', '')).toBe(text.replaceAll(' ', ''));
  expect(lines.length).toBeGreaterThan(10);
});

it('a number stays with its unit and with the word limit', () => {
  const lines = wrapText('It is 12.5 % of size off its place and far away (limit 2 %).', 12, 110);
  expect(lines.some((line) => line.includes('12.5 %'))).toBe(true);
  expect(lines.at(-1)).toContain('(limit 2 %).');
});

it('a long name is cut at 40 letters, and never within a letter of two units', () => {
  expect(shortName('w'.repeat(41))).toBe(`${'w'.repeat(37)}...`);
  expect(shortName('w'.repeat(40))).toBe('w'.repeat(40));
  expect(cut('\u{1F3EE}'.repeat(50), 10)).toBe(`${'\u{1F3EE}'.repeat(7)}...`);
  expect(shortName('a\u202eb')).toBe('a\\u202eb');
});

it('a text that is too wide is cut to its width, wide letters earlier than narrow ones', () => {
  for (const text of ['w'.repeat(99), 'i'.repeat(99), '\u6a5f'.repeat(99)]) {
    const short = fitText(text, 12, 100);
    expect(textWidth(short, 12)).toBeLessThanOrEqual(100);
    expect(textWidth(short, 12)).toBeGreaterThan(80);
    expect(short.endsWith('...')).toBe(true);
  }
  expect(fitText('beak', 12, 100)).toBe('beak');
});
