/** Points as whole tenths: sums of them are exact, in whatever order they are added. */
export type Tenths = number;

/** Digits that are surely the same however a value was added up; the rest is noise of binary fractions. */
const DIGITS = 12;

/** Rounds points once, to one decimal, half up. */
export function toTenths(points: number): Tenths {
  return Math.floor(Number((points * 10).toPrecision(DIGITS)) + 0.5);
}

/** The whole tenths in a share of a whole, rounded down: what nobody gets more than. */
export function shareOf(whole: Tenths, share: number): Tenths {
  return Math.floor(Number((whole * share).toPrecision(DIGITS)));
}

/** `earned` of `possible` as the same share of `whole`; rounded half up, in whole numbers alone. */
export function scaleTenths(earned: Tenths, possible: Tenths, whole: Tenths): Tenths {
  return Math.floor((2 * earned * whole + possible) / (2 * possible));
}

/** `89.0`. */
export function showTenths(tenths: Tenths): string {
  return (tenths / 10).toFixed(1);
}

/** `25`, or `12.5` where there is something behind the point. */
export function showWorth(tenths: Tenths): string {
  return String(tenths / 10);
}

/** Fewer points are not shown as a number. */
const LEAST_SHOWN = 0.001;

/** Points lost, to three decimals: what a reader adds up before the one rounding. */
export function showLost(points: number): string {
  if (points > 0 && points < LEAST_SHOWN) return `under ${LEAST_SHOWN}`;
  return Number(points.toFixed(3)).toString();
}
