import { closest, distance } from 'fastest-levenshtein';

/** ` Did you mean "x"?` when what was written can be a slip of one of the spellings, else nothing. */
export function didYouMean(written: string, spellings: readonly string[]): string {
  const best = closest(
    written.toLowerCase(),
    spellings.map((spelling) => spelling.toLowerCase()),
  );
  const meant = spellings.find((spelling) => spelling.toLowerCase() === best);
  return meant !== undefined && isNear(written, meant) ? ` Did you mean "${meant}"?` : '';
}

/** A spelling that was cut short has so many letters at least. */
const LEAST_LETTERS = 3;

/**
 * Whether what was written can be a slip of a spelling: no more than a third of its letters differ, they are
 * the same in another order, or it was cut short.
 */
export function isNear(written: string, spelling: string): boolean {
  const [a, b] = [written.toLowerCase(), spelling.toLowerCase()];
  const letters = (text: string): string => [...text].sort().join('');
  const isBeginning = a.length >= LEAST_LETTERS && b.startsWith(a);
  return distance(a, b) <= Math.max(1, b.length / 3) || letters(a) === letters(b) || isBeginning;
}
