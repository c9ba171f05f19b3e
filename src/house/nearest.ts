import { closest, distance } from 'fastest-levenshtein';

/** ` Did you mean "x"?` when one of the spellings is close to what was written, else nothing. */
export function didYouMean(written: string, spellings: readonly string[]): string {
  if (spellings.length === 0) return '';
  const best = closest(
    written.toLowerCase(),
    spellings.map((item) => item.toLowerCase()) as string[],
  );
  const found = spellings.find((item) => item.toLowerCase() === best);
  if (
    found === undefined ||
    distance(written.toLowerCase(), best) > Math.max(2, written.length / 2)
  )
    return '';
  return ` Did you mean "${found}"?`;
}
