import { LONGEST_NAME, nameParts, sideOfPart } from '../names/sides.js';

/**
 * What is left of each name when its prefix, the spelling of its side and of its number are taken
 * away: `rig:Shin_01.L` and `L_shin1` have one key. Null for a name without a word or number in it.
 *
 * Words are run together, since nothing tells whether `forearm` is one word or two. Numbers are kept
 * apart: 1, 2 is not 12.
 */
export function nameKeys(names: readonly string[], named: readonly boolean[]): (string | null)[] {
  const given = names.filter((_, at) => named[at] === true);
  const prefix = commonPrefix(given);
  return names.map((name, at) => (named[at] === true ? keyOf(withoutPrefix(name, prefix)) : null));
}

/** What stands before the last of these is a name space of a scene program (common practice). */
const NAME_SPACE = /^.*[:|](?=[^:|])/s;
/** A first word and what parts it from the rest. */
const FIRST_WORD = /^(?:\p{L}|\d)+[ _.-]+(?=[^ _.-])/u;
/** Nearly all names: an exporter's own root or a prop often has none of the house's prefix. */
const SHARE = 0.8;
/** In fewer names a first word shared by all may be the name of a part of the body. */
const FEWEST = 4;

/** The first word of nearly all names, with its separator; empty where there is none. */
function commonPrefix(names: readonly string[]): string {
  const counts = new Map<string, number>();
  for (const name of names) {
    const word = FIRST_WORD.exec(bare(name))?.[0];
    if (word !== undefined) counts.set(word, (counts.get(word) ?? 0) + 1);
  }
  for (const [word, count] of counts)
    if (count >= Math.max(FEWEST, SHARE * names.length)) return word;
  return '';
}

function bare(name: string): string {
  return name.length > LONGEST_NAME ? name : name.replace(NAME_SPACE, '');
}

function withoutPrefix(name: string, prefix: string): string {
  const rest = bare(name);
  return rest.startsWith(prefix) ? rest.slice(prefix.length) : rest;
}

function keyOf(name: string): string | null {
  if (name.length > LONGEST_NAME) return null;
  const words: string[] = [];
  const numbers: string[] = [];
  const sides: string[] = [];
  for (const part of nameParts(name)) {
    const side = sideOfPart(part);
    if (side !== null) sides.push(side);
    else if (/^\d/.test(part)) numbers.push(part.replace(/^0+(?=\d)/, ''));
    else words.push(part.toLowerCase());
  }
  if (words.length + numbers.length === 0) return null;
  return [words.join(''), ...numbers, ...sides].join(' ');
}
