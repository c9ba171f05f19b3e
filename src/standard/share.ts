/** A part of a whole, and how whoever wrote it would write it again. */
export interface Share {
  /** `1/3`, `25 %` or `0.25`. */
  readonly text: string;
  /** From 0 to 1. */
  readonly value: number;
}

/** Digits of each number in a share: more of them are no rubric. */
const FRACTION = /^\s*(\d{1,4})\s*\/\s*(\d{1,4})\s*$/;
const PERCENT = /^\s*(\d{1,3}(?:\.\d{1,4})?)\s*%\s*$/;
/** Digits behind the point that a share keeps; the rest is noise of binary fractions. */
const DIGITS = 6;

/** Reads a share: a number from 0 to 1, or text such as `1/3` or `25 %`; null where it is none. */
export function readShare(written: number | string): Share | null {
  if (typeof written === 'number') return shareOf(String(written), written);
  const [, part, whole] = FRACTION.exec(written) ?? [];
  if (part !== undefined) return fraction(Number(part), Number(whole));
  const [, percent] = PERCENT.exec(written) ?? [];
  return percent === undefined ? null : shareOf(`${Number(percent)} %`, Number(percent) / 100);
}

function shareOf(text: string, value: number): Share | null {
  return value >= 0 && value <= 1 ? { text, value } : null;
}

function fraction(part: number, whole: number): Share | null {
  return whole > 0 ? shareOf(`${part}/${whole}`, part / whole) : null;
}

/** All of it, and nothing. */
export const ALL: Share = { text: '1', value: 1 };
export const NOTHING: Share = { text: '0', value: 0 };

/** What is left of a share without another that is not larger, written in the same way if it can be. */
export function without(share: Share, less: Share): Share {
  if (less.value === 0) return share;
  const value = Number((share.value - less.value).toFixed(DIGITS));
  const [, part = '', whole = ''] = FRACTION.exec(less.text) ?? [];
  const [, upper = share.text, lower = '1'] = FRACTION.exec(share.text) ?? [];
  const isWhole = share.value === 1 || FRACTION.test(share.text);
  if (part !== '' && isWhole) {
    const [a, b] = share.value === 1 ? [1, 1] : [Number(upper), Number(lower)];
    const [c, d] = [Number(part), Number(whole)];
    return { text: reduced(a * d - c * b, b * d), value: share.value - less.value };
  }
  const percents = [share, less].every(({ text, value: of }) => of === 1 || PERCENT.test(text));
  if (percents) return { text: `${Number((value * 100).toFixed(DIGITS - 2))} %`, value };
  const isPlain = [share, less].every(({ text }) => !/[/%]/.test(text));
  return { text: isPlain ? String(value) : `(${share.text} − ${less.text})`, value };
}

function reduced(part: number, whole: number): string {
  const divisor = common(part, whole);
  return `${part / divisor}/${whole / divisor}`;
}

function common(a: number, b: number): number {
  return b === 0 ? a : common(b, a % b);
}
