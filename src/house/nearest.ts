import { closest, distance } from 'fastest-levenshtein';

/** ` Did you mean "x"?` when one of the spellings is close to what was written, else nothing. */
export function didYouMean(written: string, spellings: readonly string[]): string {
  if (spellings.length === 0) return '';
  const lower = written.toLowerCase();
  const best = closest(
    lower,
    spellings.map((spelling) => spelling.toLowerCase()),
  );
  const isClose = distance(lower, best) <= Math.max(2, written.length / 2);
  return isClose
    ? ` Did you mean "${spellings.find((spelling) => spelling.toLowerCase() === best)}"?`
    : '';
}

/**
 * Whether what was written can be a slip of a spelling: no more than a third of its letters differ, or they
 * are the same in another order.
 */
export function isNear(written: string, spelling: string): boolean {
  const [a, b] = [written.toLowerCase(), spelling.toLowerCase()];
  const letters = (text: string): string => [...text].sort().join('');
  return distance(a, b) <= Math.max(1, b.length / 3) || letters(a) === letters(b);
}
