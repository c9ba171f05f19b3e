/** Nothing that is measured says more in further figures. */
const FIGURES = 3;
/** What is smaller, in any unit, is what rounding leaves. */
const LEAST = 1e-9;
/** Enough for three figures of the least that is shown. */
const DECIMALS = 12;
/** A larger number is no measure of a rig, and nobody counts so many digits. */
const MOST = 1e12;

/** Whether a number is beyond all measure, which it then is in any unit. */
export function isBeyondMeasure(value: number): boolean {
  return Math.abs(value) > MOST;
}

/**
 * Three significant figures, and never an exponent, which only programmers read. What rounding
 * leaves is 0; what is beyond all measure is said in words.
 */
export function significant(value: number): string {
  if (Number.isNaN(value)) return 'not a number';
  if (isBeyondMeasure(value)) return `${value > 0 ? 'over' : 'under minus'} a million million`;
  if (Math.abs(value) < LEAST) return '0';
  const rounded = Number(value.toPrecision(FIGURES));
  const text = rounded.toString();
  // Below a millionth a number has an exponent as text; its decimals have not.
  return text.includes('e') ? rounded.toFixed(DECIMALS).replace(/0+$/, '') : text;
}

/** A smaller share, of size or anything else, cannot be seen. Percent. */
export const LEAST_PERCENT = 0.001;
/** Below this a share is what rounding leaves of none at all. Percent. */
const NO_PERCENT = 1e-6;

/** A share in percent with its sign: `2.5 %`, `under 0.001 %`, `0 %`. */
export function percentage(value: number): string {
  const size = Math.abs(value);
  if (size < NO_PERCENT) return '0 %';
  return size < LEAST_PERCENT ? `under ${LEAST_PERCENT} %` : `${significant(value)} %`;
}

/** A smaller angle is what rounding leaves. Degrees. */
const LEAST_ANGLE = 1e-4;

/** An angle with its sign: `92.4°`, `0°`. */
export function angleWords(degrees: number): string {
  return `${Math.abs(degrees) < LEAST_ANGLE ? '0' : significant(degrees)}°`;
}
