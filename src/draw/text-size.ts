import { visible } from '../report/visible.js';

/**
 * Widths of letters as a share of the letter size: those of DejaVu Sans (the advances in the font's own
 * hmtx table), rounded up. Fonts that systems use for their own text are hardly ever wider (common
 * practice), so that text set in any of them has room.
 */
const WIDTHS: readonly (readonly [letters: string, width: number])[] = [
  ["'ijlIJ", 0.3],
  [' ,./:;\\|f', 0.36],
  ['()[]t-!r', 0.42],
  ['"*_`?sz', 0.54],
  ['LcFkvxy', 0.6],
  ['0123456789$ESbdghnpqu{}PTYaeoK', 0.66],
  ['ABCRVXZU', 0.74],
  ['&DGHNOQw', 0.82],
  ['#+<=>^~M', 0.88],
  ['%mW@', 1],
];

/** Bold letters are wider by this much. */
export const BOLD = 1.13;
const WIDTH_OF = new Map(WIDTHS.flatMap(([letters, width]) => [...letters].map((l) => [l, width])));
/** Letters of other scripts, and those that fill a square. */
const OTHER_WIDTH = 0.7;
const SQUARE_WIDTH = 1.05;
const FIRST_SQUARE = 0x1100;

/** Width of a line of text that no usual font goes over. Units of `size`. */
export function textWidth(text: string, size: number): number {
  let sum = 0;
  for (const letter of text) {
    const code = letter.codePointAt(0) ?? 0;
    sum += WIDTH_OF.get(letter) ?? (code >= FIRST_SQUARE ? SQUARE_WIDTH : OTHER_WIDTH);
  }
  return sum * size;
}

/** Letters of a name that a drawing shows. */
const NAME_LETTERS = 40;

/** A name of a file on one line, its end left out when it is long. */
export function shortName(name: string, letters = NAME_LETTERS): string {
  return cut(visible(name), letters);
}

/** The first letters of a text; a surrogate pair is never split. */
export function cut(text: string, letters: number): string {
  if (text.length <= letters) return text;
  const all = [...text.slice(0, 2 * letters + 2)];
  return all.length <= letters ? text : `${all.slice(0, letters - 3).join('')}...`;
}

/** As much of a text as fits a width, with `...` where something is left out. */
export function fitText(text: string, size: number, width: number): string {
  if (textWidth(text, size) <= width) return text;
  let [out, used] = ['', textWidth('...', size)];
  for (const letter of text) {
    used += textWidth(letter, size);
    if (used > width) break;
    out += letter;
  }
  return `${out}...`;
}

/** Where a line may end: not between a number and its unit, nor after "(limit". */
const BREAK = /(?<!\(limit) (?!%|[cm]?m\b)/;

/** Lines of a text that fit a width; a word that is longer by itself is broken. */
export function wrapText(text: string, size: number, width: number): string[] {
  const lines: string[] = [];
  let [line, used] = ['', 0];
  const space = textWidth(' ', size);
  for (const word of text.split(BREAK).flatMap((whole) => brokenWord(whole, size, width))) {
    const wide = textWidth(word, size);
    if (line !== '' && used + space + wide > width) {
      lines.push(line);
      [line, used] = [word, wide];
    } else {
      [line, used] = line === '' ? [word, wide] : [`${line} ${word}`, used + space + wide];
    }
  }
  return line === '' ? lines : [...lines, line];
}

function brokenWord(word: string, size: number, width: number): string[] {
  if (textWidth(word, size) <= width) return [word];
  const parts: string[] = [];
  let [part, used] = ['', 0];
  for (const letter of word) {
    const wide = textWidth(letter, size);
    if (part !== '' && used + wide > width) {
      parts.push(part);
      [part, used] = ['', 0];
    }
    part += letter;
    used += wide;
  }
  return [...parts, part];
}
