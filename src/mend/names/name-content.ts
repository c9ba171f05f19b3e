import {
  LONGEST_NAME,
  type NameContent,
  type NamePattern,
} from '../../measure/names/name-pattern.js';
import { spell, stemOf } from './side-spelling.js';

/** Larger numbers are dates and the like, not counts. */
const LARGEST_NUMBER = 99_999;

/** The first number to try after an existing one: 2 after none. */
export function numberAfter(number: string | null): number {
  return Math.max(2, Number(number ?? 1) + 1);
}

/**
 * A name taken apart: its side, in whatever spelling, where `hasSide`, and its number where the pattern
 * has it. A side or number that is only a piece of a word stays with the stem.
 */
export function contentOf(pattern: NamePattern, name: string, hasSide: boolean): NameContent {
  if (name.length > LONGEST_NAME) return { stem: name, number: null, side: null };
  const spelt = hasSide ? spell(name) : null;
  const sideless = spelt === null ? '' : stemOf(spelt);
  const [text, side] = sideless === '' ? [name, null] : [sideless, spelt?.side ?? null];
  const at = pattern.parts.findIndex(({ is }) => is === 'number');
  const separator = (pattern.parts[at]?.separator ?? '').replaceAll('.', '\\.');
  const numbered =
    at > pattern.parts.findIndex(({ is }) => is === 'name')
      ? `^(?<stem>.*?)${separator}(?<digits>\\d+)$`
      : `^(?<digits>\\d+)${separator}(?<stem>.*)$`;
  const { stem = '', digits = '' } = new RegExp(numbered, 's').exec(text)?.groups ?? {};
  return stem === '' || Number(digits) > LARGEST_NUMBER
    ? { stem: text, number: null, side }
    : { stem, number: digits, side };
}
