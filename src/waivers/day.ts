/** A day as ISO 8601 writes it, `YYYY-MM-DD`; such texts sort as the days do. */
export const DAY_PATTERN = '^\\d{4}-\\d{2}-\\d{2}$';

/** Whether a text is a day of the Gregorian calendar. */
export function isDay(text: string): boolean {
  if (!new RegExp(DAY_PATTERN).test(text)) return false;
  const date = new Date(`${text}T00:00:00Z`);
  // A day too many rolls over into the next month, or is no date at all.
  return !Number.isNaN(date.getTime()) && utcDay(date) === text;
}

/**
 * The day in UTC. A ledger is shared, and its readers must agree on the day a waiver ends: by each
 * machine's own clock, a check could pass at one desk and fail at another and in CI.
 */
export function utcDay(date: Date): string {
  return date.toISOString().slice(0, 10);
}
