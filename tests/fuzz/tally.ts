import { HEAP_MEBIBYTES } from './judging-process.js';
import type { Told } from './run-range.js';
import { MOST_GROWTH_BYTES, MOST_MILLISECONDS } from './step.js';

/** Most memory that a judging process may ever take, its code and its decoders included. */
const MOST_PEAK_BYTES = 1024 * 2 ** 20;
/** Most that what cannot be collected may grow by from the first weighing to the last. */
const MOST_KEPT_BYTES = 64 * 2 ** 20;

/** What is known of one step over all mutants. */
interface StepTally {
  readonly outcomes: Map<string, number>;
  slowest: { milliseconds: number; index: number };
  milliseconds: number;
}

/** What came of all mutants, added up. */
export class Tally {
  private readonly steps = new Map<string, StepTally>();
  private largest = { growthBytes: 0, index: -1, step: '' };
  private peakBytes = 0;
  /** What the process of each lane kept at its first weighing, and at its last. */
  private readonly kept = new Map<number, { first: number; last: number }>();
  judged = 0;

  add(told: Told, lane: number): void {
    this.judged++;
    this.peakBytes = Math.max(this.peakBytes, told.peakBytes);
    const { index, keptBytes } = told;
    if (keptBytes !== null) {
      const first = this.kept.get(lane)?.first ?? keptBytes;
      this.kept.set(lane, { first, last: keptBytes });
    }
    for (const [name, { outcome, milliseconds, growthBytes }] of Object.entries(told.steps)) {
      const step = this.step(name);
      step.outcomes.set(outcome, (step.outcomes.get(outcome) ?? 0) + 1);
      step.milliseconds += milliseconds;
      if (milliseconds > step.slowest.milliseconds) step.slowest = { milliseconds, index };
      if (growthBytes > this.largest.growthBytes) this.largest = { growthBytes, index, step: name };
    }
  }

  /** A process that was started anew has kept nothing. */
  forgetKept(lane: number): void {
    this.kept.delete(lane);
  }

  private step(name: string): StepTally {
    const known = this.steps.get(name);
    if (known !== undefined) return known;
    const made = { outcomes: new Map(), slowest: { milliseconds: 0, index: -1 }, milliseconds: 0 };
    this.steps.set(name, made);
    return made;
  }

  private keptGrowth(): number {
    return Math.max(0, ...[...this.kept.values()].map(({ first, last }) => last - first));
  }

  /** Whether the processes themselves took more than they may. */
  isTooMuch(): boolean {
    return this.peakBytes > MOST_PEAK_BYTES || this.keptGrowth() > MOST_KEPT_BYTES;
  }

  lines(): string[] {
    const steps = [...this.steps].map(([name, { outcomes, slowest, milliseconds }]) => {
      const counts = [...outcomes].sort().map(([outcome, count]) => `${outcome} ${count}`);
      const mean = (milliseconds / Math.max(1, this.judged)).toFixed(0);
      return `  ${name}: ${counts.join(', ')}; ${mean} ms on average, slowest ${slowest.milliseconds.toFixed(0)} ms, mutant ${slowest.index} (limit ${MOST_MILLISECONDS} ms)`;
    });
    const { growthBytes, index, step } = this.largest;
    return [
      ...steps,
      `  largest growth: ${mebibytes(growthBytes)}, mutant ${index}, ${step} (limit ${mebibytes(MOST_GROWTH_BYTES)})`,
      `  kept at the end: ${mebibytes(this.keptGrowth())} more (limit ${mebibytes(MOST_KEPT_BYTES)})`,
      `  peak of a process: ${mebibytes(this.peakBytes)} (limit ${mebibytes(MOST_PEAK_BYTES)}, heap limit ${HEAP_MEBIBYTES} MiB)`,
    ];
  }
}

function mebibytes(bytes: number): string {
  return `${(bytes / 2 ** 20).toFixed(0)} MiB`;
}
