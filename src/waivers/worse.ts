import type { FindingReport } from '../report/report-types.js';
import type { Accepted, Vertices } from './ledger.js';

/** What is accepted may grow by so much, as a share, before it counts as worse: exports round. */
const SLACK = 0.1;

/**
 * What it must grow by besides, as a share of the limit: far under the limit, a tenth of what was
 * accepted is no more than rounding, which a mere second saving brings.
 */
const LIMIT_SHARE = 0.01;

/** Units that things are counted in, exactly the same after every export. */
const COUNTED = new Set(['joints', 'nodes', 'skins', 'names', 'matrices', 'clips', 'channels']);

/** What is smaller, in any unit, is what rounding leaves. */
const LEAST = 1e-9;

/** A measure and what it is held to. */
interface Measured extends Pick<FindingReport, 'limit' | 'unit'> {
  readonly measured: number;
}

/** Whether things are counted one by one. */
export function isCounted(unit: string): boolean {
  return COUNTED.has(unit);
}

/** The worst that was accepted in a unit; null for none. */
export function acceptedIn(accepted: Accepted, unit: string): number | null {
  return unit === accepted.unit ? accepted.measured : (accepted.also?.get(unit) ?? null);
}

/** Whether smaller is worse: the measure fell below its limit. */
export function smallerIsWorse(now: Pick<FindingReport, 'measured' | 'limit'>): boolean {
  return now.measured !== null && now.limit !== null && now.measured < now.limit;
}

/**
 * Whether a measure is worse than what was accepted: by more than a tenth of it and more than a
 * hundredth of the limit, or by more than a tenth of the limit where what is smaller is worse (there
 * nothing at all is worst). Counts are worse by one.
 *
 * @param least Whether smaller is worse.
 */
export function isWorse(now: Measured, accepted: number, least = smallerIsWorse(now)): boolean {
  const { measured, limit, unit } = now;
  if (isCounted(unit)) return least ? measured < accepted : measured > accepted;
  const tenth = SLACK * Math.abs(accepted);
  if (!least) return measured > accepted + Math.max(LEAST, LIMIT_SHARE * (limit ?? 0), tenth);
  const room = Math.max(SLACK * Math.abs(limit ?? 0), tenth);
  return measured < accepted - Math.max(LEAST, room);
}

/** The worse of two measures. */
export function worst(a: number, b: number, least: boolean): number {
  return least ? Math.min(a, b) : Math.max(a, b);
}

/**
 * The same of a count of vertices. An export that splits or joins vertices changes how many there are
 * at a fault, and how many there are in all: it is worse where both the count and its share grew.
 */
export function areMore(now: Vertices, accepted: Vertices): boolean {
  const grew = (before: number, after: number): boolean => after > before * (1 + SLACK);
  return (
    grew(accepted.short, now.short) &&
    grew(accepted.short / Math.max(1, accepted.of), now.short / Math.max(1, now.of))
  );
}

/** Figures of a number in a ledger: a tenth is far more than they leave out. */
const FIGURES = 4;

/** A measure as it is written into a ledger: whole counts as they are, others rounded to the worse. */
export function ledgerNumber(value: number, least: boolean): number {
  if (Number.isInteger(value) && Math.abs(value) < 1e15) return value;
  const rounded = Number(value.toPrecision(FIGURES));
  if (least ? rounded <= value : rounded >= value) return rounded;
  const step = 10 ** (Math.floor(Math.log10(Math.abs(value))) + 1 - FIGURES);
  return Number((rounded + (least ? -step : step)).toPrecision(FIGURES));
}
