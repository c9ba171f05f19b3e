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
