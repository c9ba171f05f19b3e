/** More digits than any measure has; fewer than the ones in which two machines may differ. */
const DIGITS = 9;

/** A number as reports for programs write it: whole ones as they are; null for no finite number. */
export function rounded(value: number): number | null {
  if (Number.isSafeInteger(value)) return value;
  return Number.isFinite(value) ? Number(value.toPrecision(DIGITS)) : null;
}

/** The same for `JSON.stringify`. */
export function roundedInJson(_: string, value: unknown): unknown {
  return typeof value === 'number' ? rounded(value) : value;
}
