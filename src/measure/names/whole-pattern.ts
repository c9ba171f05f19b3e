import { type NamePattern, nameBy } from './name-pattern.js';
import { LONGEST_NAME, type Side, sideOfName } from './sides.js';

/**
 * Whether all of a name is made by a pattern: its side, its number with as many digits, and what
 * separates them. What is left of it begins and ends with a letter, so that no number is run together
 * with it or stands elsewhere.
 */
export function followsWhole(pattern: NamePattern, name: string): boolean {
  if (name.length > LONGEST_NAME) return false;
  const forms = known.get(pattern) ?? formsOf(pattern);
  known.set(pattern, forms);
  return forms.some(({ test, hasSide }) => {
    const { stem, number = null, side: word } = test.exec(name)?.groups ?? {};
    if (stem === undefined) return false;
    // A side that is told in another way is not one of the pattern.
    if (!hasSide) return sideOfName(name)?.apart !== true;
    const side: Side = word === pattern.sides.left ? 'left' : 'right';
    return nameBy(pattern, { stem, number, side }) === name;
  });
}

interface Form {
  readonly test: RegExp;
  readonly hasSide: boolean;
}

const known = new WeakMap<NamePattern, readonly Form[]>();

const STEM = '(?<stem>[\\p{L}\\p{M}](?:.*[\\p{L}\\p{M}])?)';

/** The names there are: with and without a side, with and without a number. */
function formsOf(pattern: NamePattern): readonly Form[] {
  return [true, false].flatMap((hasSide) =>
    [true, false].map((hasNumber) => ({ hasSide, test: formOf(pattern, hasSide, hasNumber) })),
  );
}

function formOf({ parts, sides, digits }: NamePattern, hasSide: boolean, hasNumber: boolean) {
  const middle = parts.findIndex(({ is }) => is === 'name');
  const written = parts.map(({ is, separator }, place) => {
    if (is === 'name') return STEM;
    if (is === 'side' ? !hasSide : !hasNumber) return '';
    // A point or a dash means more in an expression, but for within a class.
    const parting = [...separator].map((letter) => `[${letter === '-' ? '\\-' : letter}]`).join('');
    const text =
      is === 'number' ? `(?<number>\\d{${digits},})` : `(?<side>${sides.left}|${sides.right})`;
    return place < middle ? `${text}${parting}` : `${parting}${text}`;
  });
  return new RegExp(`^${written.join('')}$`, 'su');
}
