import {
  followsPattern,
  type NamePattern,
  readPattern,
  SIDE_SPELLINGS,
  whySideIsLost,
} from '../../measure/names/name-pattern.js';
import { sideOfName } from '../../measure/names/sides.js';
import { groupBy } from '../../rig/group-by.js';
import { MOST_DIGITS } from '../standard-schema.js';
import type { RigSeen } from './rig-seen.js';

/** How names are made, as a standard writes it. */
export interface HouseNames {
  readonly pattern: string;
  readonly sides: string;
  readonly digits: number;
}

/** What the names of some rigs are made by. */
export interface NamesSeen {
  /** What most joints with a side follow; null where no joint tells a side. */
  readonly names: HouseNames | null;
  /** Joints with a side. */
  readonly sided: number;
  /** Names that tell their side in another way. */
  readonly others: readonly string[];
}

/** What may part a side or a number from the name, the usual first. */
const SEPARATORS = ['_', '.', '-', ' ', ''] as const;

/** Where side and number stand, the plain pattern's way first: of equals the first is taken. */
const LAYOUTS: readonly ((side: string, number: string) => string)[] = [
  (side, number) => `{name}{${number}number}{${side}side}`,
  (side, number) => `{name}{${side}side}{${number}number}`,
  (side, number) => `{side${side}}{name}{${number}number}`,
];

/** Different names that a pattern is chosen by: each is held to some hundred patterns. */
const MOST_NAMES = 300;
/** Letters of a name that takes part; the time to read one grows with their square. */
const LONGEST = 80;

/**
 * The pattern that most names of joints with a side follow. Sides decide; of patterns that fit as many,
 * the one whose number stands where the numbers of names do.
 */
export function namesOf(seen: readonly Pick<RigSeen, 'names' | 'sided'>[]): NamesSeen {
  const sided = seen.flatMap((rig) => rig.sided);
  const several = groupBy(differentNames(sided), tellsByLetter);
  const all = differentNames(seen.flatMap(({ names }) => names));
  let best: { pattern: NamePattern; fits: number; numbers: readonly string[] } | null = null;
  for (const pattern of SIDE_PATTERNS) {
    // `LeftArm` is no L with `eftArm`.
    const alike = several.get(isByLetter(pattern)) ?? [];
    const fits = alike.filter((name) => followsPattern(pattern, name)).length;
    if (fits === 0 || fits < (best?.fits ?? 0)) continue;
    const numbers = numbersBy(pattern, all);
    if (best === null || fits > best.fits || numbers.length > best.numbers.length)
      best = { pattern, fits, numbers };
  }
  if (best === null) return { names: null, sided: sided.length, others: sided };
  const { pattern, numbers } = best;
  return {
    names: {
      pattern: pattern.text,
      sides: `${pattern.sides.left}/${pattern.sides.right}`,
      digits: digitsOf(numbers),
    },
    sided: sided.length,
    others: sided.filter(
      (name) => tellsByLetter(name) !== isByLetter(pattern) || !followsPattern(pattern, name),
    ),
  };
}

function differentNames(names: readonly string[]): string[] {
  return [...new Set(names)].filter(({ length }) => length <= LONGEST).slice(0, MOST_NAMES);
}

/** Whether a name tells its side by a letter, not by a word. */
function tellsByLetter(name: string): boolean {
  return sideOfName(name)?.style.startsWith('letter') === true;
}

function isByLetter({ sides }: NamePattern): boolean {
  return sides.left.length === 1;
}

const SIDE_PATTERNS: readonly NamePattern[] = SIDE_SPELLINGS.flatMap((spelling) => {
  const [left = '', right = ''] = spelling.split('/');
  return LAYOUTS.flatMap((layout) =>
    SEPARATORS.flatMap((side) =>
      // Where no name has a number, its separator is that of the side.
      [...new Set([side, ...SEPARATORS])].flatMap((number): NamePattern[] => {
        const text = layout(side, number);
        const parts = readPattern(text);
        if (typeof parts === 'string') return [];
        const pattern = { text, parts, sides: { left, right }, digits: 1 };
        return whySideIsLost(pattern) === null ? [pattern] : [];
      }),
    ),
  );
});

/** The numbers of the names that have one where the pattern puts it, as written. */
function numbersBy(pattern: NamePattern, names: readonly string[]): string[] {
  const matcher = numberMatcher(pattern);
  return names.flatMap((name) => matcher.exec(name)?.groups?.number ?? []);
}

/** Finds the number of a name with or without a side. What stands before a separator ends in a letter. */
function numberMatcher({ parts, sides }: NamePattern): RegExp {
  const middle = parts.findIndex(({ is }) => is === 'name');
  const written = parts.map(({ is, separator }, place) => {
    const parting = [...separator].map((letter) => `[${letter === '-' ? '\\-' : letter}]`).join('');
    if (is === 'name') return '.*\\p{L}';
    if (is === 'number') return `${parting}(?<number>\\d+)`;
    const side = `(?:${sides.left}|${sides.right})`;
    return place < middle ? `(?:${side}${parting})?` : `(?:${parting}${side})?`;
  });
  return new RegExp(`^${written.join('')}$`, 'su');
}

/** The digits that numbers are filled up to with zeros; 1 where none is. */
function digitsOf(numbers: readonly string[]): number {
  const filled = numbers.filter((number) => number.length > 1 && number.startsWith('0'));
  const least = Math.min(...filled.map((number) => number.length));
  return filled.length === 0 ? 1 : Math.min(least, MOST_DIGITS);
}
