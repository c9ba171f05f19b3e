/** The order of paths in every list and report: by code unit, the same on every machine. */
export function byPath(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
