/** `the standard stage/trysquare.json, with the rest from trysquare.json`: what something was checked against. */
export function standardWords(
  standard: string,
  above: readonly string[] = [],
  show: (path: string) => string = (path) => path,
): string {
  return `the standard ${show(standard)}${restWords(above, show)}`;
}

/** Those that a standard takes from what it leaves out, the nearest first; nothing where there are none. */
export function restWords(
  above: readonly string[] = [],
  show: (path: string) => string = (path) => path,
): string {
  return above.length === 0 ? '' : `, with the rest from ${above.map(show).join(', then ')}`;
}
