import { LONGEST_NAME, type Side, sideOfName } from './sides.js';

/** How a house names joints: what its name is made of, in order, and how each part is spelt. */
export interface NamePattern {
  /** As the house wrote it: `{name}{_number}{_side}`. */
  readonly text: string;
  readonly parts: readonly NamePart[];
  /** The words for left and right. */
  readonly sides: Readonly<Record<Side, string>>;
  /** Digits that a number has at least. */
  readonly digits: number;
}

/** A part and what parts it from the name, which goes away with it. */
interface NamePart {
  readonly is: 'name' | 'number' | 'side';
  readonly separator: string;
}

/** What a name is put together from. */
export interface NameContent {
  readonly stem: string;
  /** As written; null for none. */
  readonly number: string | null;
  readonly side: Side | null;
}

/** The pattern of a standard that gives names but none of their keys. */
export const PLAIN_PATTERN = '{name}{_number}{_side}';
/** Letters. Three parts take some 20; the time to read a pattern grows faster than its length. */
export const LONGEST_PATTERN = 100;
/** Spellings of sides that the measures read back (see `sideOfName`), left before right. */
export const SIDE_SPELLINGS = ['L/R', 'l/r', 'left/right', 'Left/Right', 'LEFT/RIGHT'] as const;
/** What may part the number and the side from the name. */
const SEPARATOR = /^[ _.-]*$/;

/**
 * Reads a pattern such as `{name}{_number}{_side}`: each part once, in braces, with its separator
 * on the side of the name. Else gives what is wrong, to follow "the pattern".
 */
export function readPattern(text: string): readonly NamePart[] | string {
  if (text.length > LONGEST_PATTERN)
    return `has ${text.length} letters (limit ${LONGEST_PATTERN}); write it shorter`;
  const groups = text.match(/\{[^{}]*\}/g) ?? [];
  if (groups.join('') !== text || groups.length === 0)
    return 'has text outside the braces; write the separators inside the braces, as in {_side}';
  const parts: { is: NamePart['is']; before: string; after: string }[] = [];
  for (const group of groups) {
    const [, before = '', word = '', after = ''] =
      /^\{([^\p{L}\p{N}]*)(.*?)([^\p{L}\p{N}]*)\}$/u.exec(group) ?? [];
    if (word !== 'name' && word !== 'number' && word !== 'side')
      return `has ${group}, which is not a known part; use {name}, {number} and {side}`;
    if (!SEPARATOR.test(before + after))
      return `parts with "${before}${after}"; use space, _, - or .`;
    if (parts.some(({ is }) => is === word)) return `has {${word}} twice`;
    parts.push({ is: word, before, after });
  }
  const middle = parts.findIndex(({ is }) => is === 'name');
  for (const is of ['name', 'number', 'side'] as const)
    if (!parts.some((part) => part.is === is)) return `lacks {${is}}`;
  for (const [place, { is, before, after }] of parts.entries()) {
    if (is === 'name' && before + after !== '')
      return 'has a separator in {name}; write it in {number} or {side}, because some names have no number or side';
    const outer = place < middle ? before : after;
    if (outer !== '')
      return `has "${outer}" on the side of {${is}} that is away from {name}; put it on the other side`;
  }
  return parts.map(({ is, before, after }) => ({ is, separator: before + after }));
}

/** Why a side could not be found in the name; null where it can. */
export function whySideIsLost(pattern: Pick<NamePattern, 'parts' | 'sides'>): string | null {
  const { parts, sides } = pattern;
  const side = parts.findIndex(({ is }) => is === 'side');
  // At the front the name takes a capital.
  const isLast = side > parts.findIndex(({ is }) => is === 'name');
  return isLast && parts[side]?.separator === '' && sides.left === sides.left.toLowerCase()
    ? `runs {name} and "${sides.left}" together, so the side cannot be found; write {_side}, or sides with a capital letter`
    : null;
}

/** The name made by a pattern; null where the side could not be read back from it. */
export function nameBy(pattern: NamePattern, { stem, number, side }: NameContent): string | null {
  const middle = pattern.parts.findIndex(({ is }) => is === 'name');
  let name = '';
  for (const [place, { is, separator }] of pattern.parts.entries()) {
    if (is === 'name') {
      // Without a separator, a capital keeps side and name apart.
      const isJoined = side !== null && name.endsWith(pattern.sides[side]);
      name += isJoined ? stem.charAt(0).toUpperCase() + stem.slice(1) : stem;
      continue;
    }
    const text = is === 'number' ? number : side && pattern.sides[side];
    if (text !== null) name += place < middle ? `${text}${separator}` : `${separator}${text}`;
  }
  if (side === null) return name;
  return sideOfName(name)?.side === side && followsPattern(pattern, name) ? name : null;
}

/** Whether a name that tells a side tells it as the pattern does. Its number may be anywhere. */
export function followsPattern(pattern: NamePattern, name: string): boolean {
  if (name.length > LONGEST_NAME) return false;
  const matcher = matchers.get(pattern) ?? matcherOf(pattern);
  matchers.set(pattern, matcher);
  return matcher.test(name);
}

const matchers = new WeakMap<NamePattern, RegExp>();

function matcherOf({ parts, sides }: NamePattern): RegExp {
  const middle = parts.findIndex(({ is }) => is === 'name');
  const written = parts.map(({ is, separator }, place) => {
    if (is === 'name') return '[\\p{L}\\p{N}](?:.*[\\p{L}\\p{N}])?';
    // A point or a dash means more in an expression, but for within a class.
    const parting = [...separator].map((letter) => `[${letter === '-' ? '\\-' : letter}]`).join('');
    const text = is === 'number' ? '\\d+' : `(?:${sides.left}|${sides.right})`;
    const whole = place < middle ? `${text}${parting}` : `${parting}${text}`;
    return is === 'number' ? `(?:${whole})?` : whole;
  });
  return new RegExp(`^${written.join('')}$`, 'su');
}
