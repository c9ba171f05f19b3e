import type { NameContent, NamePattern } from '../../measure/names/name-pattern.js';
import {
  LONGEST_NAME,
  type NamedSide,
  type Side,
  type SideStyle,
  sideOfName,
} from '../../measure/names/sides.js';

/** A name taken apart at the word or letter for its side. */
export interface SpeltName extends NamedSide {
  readonly before: string;
  /** As written. */
  readonly token: string;
  readonly after: string;
}

/** How a rig writes sides: where, what separates side and name, and in which case. */
export interface Spelling {
  readonly style: SideStyle;
  readonly separator: string;
  readonly casing: 'lower' | 'capital' | 'upper';
}

export function spell(name: string): SpeltName | null {
  const read = sideOfName(name);
  if (read === null) return null;
  const tokens = [...name.matchAll(/\p{Lu}+(?!\p{Ll})|\p{Lu}?[\p{Ll}\p{Lo}]+|\d+/gu)];
  const found =
    tokens.find(([token]) => /^(l|r|left|right)$/i.test(token)) ??
    /^(left|right)|(left|right)(?=\d*$)/i.exec(name);
  if (found === null) return null;
  const [token] = found;
  const [before, after] = [name.slice(0, found.index), name.slice(found.index + token.length)];
  return { ...read, before, token, after };
}

/** What most names of a style have between side and name, and their case. */
export function commonSpelling(names: readonly SpeltName[], style: SideStyle): Spelling {
  const alike = names.filter((name) => name.style === style);
  const separators = alike.map(({ before, after }) =>
    style.endsWith('first') ? leading(after) : trailing(before),
  );
  return {
    style,
    separator: most(separators) ?? '_',
    casing: most(alike.map(casingOf)) ?? 'lower',
  };
}

/** The name without its side and what separated the two. */
export function stemOf({ before, after }: Pick<SpeltName, 'before' | 'after'>): string {
  const [left, right] = [trailing(before), leading(after)];
  const [head, tail] = [before.slice(0, before.length - left.length), after.slice(right.length)];
  return `${head}${head !== '' && tail !== '' ? left || right : ''}${tail}`;
}

/** Larger numbers are dates and the like, not counts. */
const LARGEST_NUMBER = 99_999;

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

/** The name in another spelling; null where it is not clear which part goes where. */
export function respell(name: SpeltName, spelling: Spelling): string | null {
  const { style, separator } = spelling;
  const stem = stemOf(name);
  if (stem === '' || style.endsWith('within')) return null;
  const token = tokenOf(name.side, spelling);
  // Without a separator, a capital keeps the two apart.
  const tries = [stem, stem.charAt(0).toUpperCase() + stem.slice(1)].map((spelt) =>
    style.endsWith('first') ? `${token}${separator}${spelt}` : `${spelt}${separator}${token}`,
  );
  const isRead = (tried: string): boolean => {
    const read = sideOfName(tried);
    return read?.apart === true && read.side === name.side && read.style === style;
  };
  return tries.find(isRead) ?? null;
}

/** A stem with a side, spelt as others are. */
export function withSide(stem: string, side: Side, spelling: Spelling): string {
  const token = tokenOf(side, spelling);
  const { style, separator } = spelling;
  return style.endsWith('first') ? `${token}${separator}${stem}` : `${stem}${separator}${token}`;
}

/** The name of the other side, spelt alike. */
export function otherSide({ before, token, after, side }: SpeltName): string {
  const casing = casingOf({ token });
  const style = token.length === 1 ? 'letter-last' : 'word-last';
  return `${before}${tokenOf(side === 'left' ? 'right' : 'left', { style, casing })}${after}`;
}

/** Letters and numbers of a name without its side, for comparing two of a pair. */
export function bareStem({ before, after }: SpeltName): string {
  return `${before}${after}`.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '');
}

function tokenOf(side: Side, { style, casing }: Pick<Spelling, 'style' | 'casing'>): string {
  const word = style.startsWith('letter') ? side.charAt(0) : side;
  if (casing === 'lower') return word;
  return casing === 'upper' ? word.toUpperCase() : word.charAt(0).toUpperCase() + word.slice(1);
}

function casingOf({ token }: Pick<SpeltName, 'token'>): Spelling['casing'] {
  if (token === token.toLowerCase()) return 'lower';
  return token === token.toUpperCase() ? 'upper' : 'capital';
}

function leading(text: string): string {
  return /^[^\p{L}\p{N}]*/u.exec(text)?.[0] ?? '';
}

function trailing(text: string): string {
  return /[^\p{L}\p{N}]*$/u.exec(text)?.[0] ?? '';
}

/** The most frequent; of equals the one that came first. */
export function most<T>(values: readonly T[]): T | null {
  const counts = new Map<T, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0] ?? null;
}
