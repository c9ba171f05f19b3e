import { LEVELS, type Level } from '../kit/finding.js';
import type { Band, Grading } from '../standard/grading.js';
import { ALL, NOTHING, type Share, without } from '../standard/share.js';
import type { Faulty } from './faulty-places.js';

/** What a family loses of its points. */
export interface FamilyCost {
  /** Of its points, from 0 to 1. */
  readonly share: number;
  /** The shares that it is the sum of, as they are written: `1/2 × 2/3`. */
  readonly terms: readonly string[];
}

/** From the mildest on. */
const RISING: readonly Level[] = [...LEVELS].reverse();

/**
 * What joints at fault cost of the points of their family. With B(n) the share of the band that n joints
 * are in, n(level) the joints with a fault of a level or a graver one, and w(level) how much of a band the
 * level counts (an error all of it):
 *   w(note) B(n(note)) + (w(warning) - w(note)) B(n(warning)) + (1 - w(warning)) B(n(error)),
 * or what an error costs at once, where there is one and that is more. So no joint that is added and no
 * fault that becomes graver ever costs less. Terms of one band are put together.
 */
export function familyCost(faulty: readonly Faulty[], grading: Grading): FamilyCost {
  const weights: Readonly<Record<Level, Share>> = {
    note: grading.notes,
    warning: grading.warnings,
    error: ALL,
  };
  const parts: { readonly band: Band; readonly from: Share; readonly to: Share }[] = [];
  let below = NOTHING;
  for (const level of RISING) {
    const to = weights[level];
    const band = bandOf(countFrom(faulty, level), grading);
    const last = parts.at(-1);
    if (band !== null && to.value > below.value) {
      if (last?.band === band) parts[parts.length - 1] = { band, from: last.from, to };
      else parts.push({ band, from: below, to });
    }
    below = to;
  }
  const costs = parts.map(({ band: { costs: share }, from, to }) => {
    const part = without(to, from);
    const text = part.value === 1 ? share.text : `${part.text} × ${share.text}`;
    return { value: part.value * share.value, text };
  });
  const paid = costs.filter(({ value }) => value > 0);
  const share = paid.reduce((sum, { value }) => sum + value, 0);
  const { error } = grading;
  return hasError(faulty) && error.value > share
    ? { share: error.value, terms: [error.text] }
    : { share, terms: paid.map(({ text }) => text) };
}

/** Those that cost something by themselves: notes do not, unless the standard says so. */
export function countedFaulty(faulty: readonly Faulty[], { notes, warnings }: Grading): Faulty[] {
  const isCounted = { note: notes.value > 0, warning: warnings.value > 0, error: true };
  return faulty.filter(({ level }) => isCounted[level]);
}

/** Whether anything of it counts as an error. */
function hasError(faulty: readonly Faulty[]): boolean {
  return countFrom(faulty, 'error') > 0;
}

/** How many have a fault of a level or a graver one. */
export function countFrom(faulty: readonly Faulty[], level: Level): number {
  const least = LEVELS.indexOf(level);
  return faulty.filter((each) => LEVELS.indexOf(each.level) <= least).length;
}

/** The band of so many at fault; null below the first. */
function bandOf(count: number, { bands }: Grading): Band | null {
  return bands.filter(({ from }) => from <= count).at(-1) ?? null;
}
