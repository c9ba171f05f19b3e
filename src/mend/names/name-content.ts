import type { NameContent, NamePattern } from '../../measure/names/name-pattern.js';
import { LONGEST_NAME } from '../../measure/names/sides.js';
import { spell, stemOf } from './side-spelling.js';

/** Longer numbers are no counts, but dates and the like. */
const LARGEST_NUMBER = 99_999;

/** The first number to try after one that is there: 2 after none. */
export function numberAfter(number: string | null): number {
  return Math.max(2, Number(number ?? 1) + 1);
}

/**
 * A name taken apart: its side, in whatever spelling, if it tells one, and its number where the pattern
 * has it. What is no side or number of its own stays with the stem.
 */
export function contentOf(pattern: NamePattern, name: string, tellsSide: boolean): NameContent {
  if (name.length > LONGEST_NAME) return { stem: name, number: null, side: null };
  const spelt = tellsSide ? spell(name) : null;
  const own = spelt === null ? '' : stemOf(spelt);
  const [text, side] = own === '' ? [name, null] : [own, spelt?.side ?? null];
  const at = pattern.parts.findIndex(({ is }) => is === 'number');
  const separator = pattern.parts[at]?.separator ?? '';
  const isLast = at > pattern.parts.findIndex(({ is }) => is === 'name');
  const digits = (isLast ? /\d+$/ : /^\d+/).exec(text)?.[0] ?? '';
  const rest = isLast ? text.slice(0, text.length - digits.length) : text.slice(digits.length);
  const parted = isLast ? rest.endsWith(separator) : rest.startsWith(separator);
  const stem = isLast
    ? rest.slice(0, rest.length - separator.length)
    : rest.slice(separator.length);
  if (digits === '' || !parted || stem === '' || Number(digits) > LARGEST_NUMBER)
    return { stem: text, number: null, side };
  return { stem, number: digits, side };
}
