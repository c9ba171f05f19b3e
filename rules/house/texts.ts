import type { NamePatternText } from '../../src/measure/contract.js';

/** Texts that a message lists. */
const LISTED = 5;
/** Letters of a text that a message shows. */
const LONGEST = 120;

/** The first few of some names or patterns, in quotes. */
export function quoted(texts: readonly string[]): string {
  const shown = texts.slice(0, LISTED).map((text) => {
    return `"${text.length > LONGEST ? `${text.slice(0, LONGEST)}...` : text}"`;
  });
  const more = texts.length - shown.length;
  return shown.join(', ') + (more > 0 ? ` and ${more} more` : '');
}

/** `1 clip`, `3 clips`: the words of a rig are not there for a rule about assets. */
export function clipsCounted(count: number): string {
  return count === 1 ? '1 clip' : `${count} clips`;
}

/** Whether a list of a contract asks for anything. */
export function asksFor(list: readonly NamePatternText[] | undefined): boolean {
  return list !== undefined && list.length > 0;
}
