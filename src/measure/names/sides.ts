import { groupBy } from '../../rig/group-by.js';
import type { JointTable } from '../../rig/types.js';

/** A side as a name tells it. */
export type Side = 'left' | 'right';

/** How a name tells a side. */
export interface NamedSide {
  readonly side: Side;
  /** The name without its side, in lower case: equal for the two of a pair. */
  readonly stem: string;
  /** The stem without numbers at its end: exporters count through both sides. */
  readonly looseStem: string;
  readonly style: SideStyle;
  /** Whether a number follows right after a lone letter, as in `L1`. */
  readonly numbered: boolean;
  /** Whether the side is a part of its own; if not, only a partner proves it one. */
  readonly apart: boolean;
}

/** As a word or a letter, and where in the name. */
export type SideStyle = `${'word' | 'letter'}-${'first' | 'last' | 'within'}`;

/**
 * Reads the side out of a joint name: `L`/`R` or `left`/`right` as a part of its own, in any case,
 * at the front, the end or between; parts end at separators, at a change to upper case and at
 * digits (common practice). Null when the name tells none, or both.
 */
export function sideOfName(name: string): NamedSide | null {
  if (name.length > LONGEST_NAME) return null;
  const parts = nameParts(name);
  const hits = parts.flatMap((part, place) => {
    const side = sideOfPart(part);
    return side === null ? [] : [{ side, place, letter: part.length === 1 }];
  });
  const hit = hits.length === 1 ? hits[0] : undefined;
  if (hit === undefined) return hits.length === 0 ? joinedWord(name) : null;
  const words = parts.map((part, place) => (place === hit.place ? '*' : part.toLowerCase()));
  const letters = parts.flatMap((part, place) => (/^\d+$/.test(part) ? [] : [place]));
  const where =
    hit.place === letters[0] ? 'first' : hit.place === letters.at(-1) ? 'last' : 'within';
  return {
    side: hit.side,
    stem: words.join(' '),
    looseStem: words.join(' ').replace(/( \d+)+$/, ''),
    style: `${hit.letter ? 'letter' : 'word'}-${where}`,
    apart: true,
    numbered: hit.letter && /^\d+$/.test(parts[hit.place + 1] ?? ''),
  };
}

/** The words and numbers that a name is made of; they end at separators, at capitals and at digits. */
export function nameParts(name: string): readonly string[] {
  return (
    name.match(
      /^[ -~]*$/.test(name) ? PLAIN_PARTS : /\p{Lu}+(?!\p{Ll})|\p{Lu}?[\p{Ll}\p{Lo}]+|\d+/gu,
    ) ?? []
  );
}

/** The same for names in ASCII: the engine takes 1 ms to make ready for all letters there are. */
const PLAIN_PARTS = /[A-Z]+(?![a-z])|[A-Z]?[a-z]+|\d+/g;

/** The side that a part of a name tells, if that is all it tells. */
export function sideOfPart(part: string): Side | null {
  return SIDE_WORDS.get(part.toLowerCase()) ?? null;
}

/** No longer name tells a side or a number. Letters. */
export const LONGEST_NAME = 256;

const SIDE_WORDS: ReadonlyMap<string, Side> = new Map([
  ['l', 'left'],
  ['left', 'left'],
  ['r', 'right'],
  ['right', 'right'],
]);

/** `leftarm`, `armright`: the word run together with the rest. Only its partner can prove it a side. */
function joinedWord(name: string): NamedSide | null {
  const lower = name.toLowerCase();
  if (!/left|right/.test(lower)) return null;
  const match = /^(left|right)(?=\p{L})|(?<=\p{L})(left|right)(?=\d*$)/u.exec(lower);
  if (match === null) return null;
  const side: Side = match[0] === 'left' ? 'left' : 'right';
  const stem = `${lower.slice(0, match.index)}*${lower.slice(match.index + match[0].length)}`;
  const style = match.index === 0 ? 'word-first' : 'word-last';
  return { side, stem, looseStem: stem.replace(/\d+$/, ''), style, apart: false, numbered: false };
}

/** Joints by the style in which their names tell their side. */
export interface SideStyles {
  /** The style of most names; of equals the first. */
  readonly common: SideStyle;
  readonly other: readonly { readonly style: SideStyle; readonly joints: readonly number[] }[];
}

export function sideStyles(sided: readonly { joint: number; item: NamedSide }[]): SideStyles {
  const [most, ...other] = [...groupBy(sided, ({ item }) => item.style)]
    .map(([style, list]) => ({ style, joints: list.map(({ joint }) => joint) }))
    .sort((a, b) => b.joints.length - a.joints.length);
  return { common: most?.style ?? 'letter-last', other };
}

/** What exporters put on at the end of a chain (common practice). */
const TIP = /[._ -](end|tip)$/i;

/** Whether an end joint is named for being one: it has its parent's side, whatever its name. */
export function isEndTip({ children, names }: JointTable, joint: number): boolean {
  return children[joint]?.length === 0 && TIP.test(names[joint] ?? '');
}
