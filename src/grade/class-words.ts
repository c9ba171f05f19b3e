import { singular } from '../report/finding-words.js';

/** `2 of 31 joints`, `1 of 1 node`. */
export function shareWords(part: number, looked: number, things: string): string {
  return `${part} of ${looked} ${looked === 1 ? singular(things) : things}`;
}

/** The first names of a list, and how many there are besides. */
export function firstOf(names: readonly string[], most: number, between = ', '): string {
  const more = names.length - most;
  return `${names.slice(0, most).join(between)}${more > 0 ? ` and ${more} more` : ''}`;
}
