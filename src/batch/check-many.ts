import type { CheckResult, CheckTask } from './task.js';

/** Something to check, or something already known of a path in the list. */
export type Job =
  | { readonly kind: 'check'; readonly task: CheckTask }
  | { readonly kind: 'known'; readonly result: CheckResult };

export interface BatchOptions {
  readonly check: (task: CheckTask) => Promise<CheckResult>;
  /** How many are checked at once. */
  readonly workers: number;
  /** Ends the batch early; what is done by then is still given out. */
  readonly signal: AbortSignal;
  /** Called as each one is done, in whatever order that happens. */
  readonly onDone?: (result: CheckResult) => void;
}

/** Results that may wait for a slower one before them, per worker: memory does not grow with the list. */
const AHEAD = 64;

interface Slot {
  result: CheckResult | null;
  /** Resolves when there is a result; rejects with what the check threw. */
  done: Promise<void>;
}

/**
 * Checks a list and gives the results in its order, whatever finishes first. After an abort those
 * that are done are given out, still in order, without those that are not.
 */
export async function* checkMany(
  jobs: AsyncIterable<Job>,
  { check, workers, signal, onDone }: BatchOptions,
): AsyncGenerator<CheckResult> {
  const source = jobs[Symbol.asyncIterator]();
  const waiting: Slot[] = [];
  let running = 0;
  let more = true;
  let wake: () => void = () => undefined;
  signal.addEventListener('abort', () => wake(), { once: true });

  const launch = (job: Job): void => {
    running++;
    const slot: Slot = { result: null, done: Promise.resolve() };
    const work = job.kind === 'known' ? Promise.resolve(job.result) : check(job.task);
    slot.done = work
      .then((result) => {
        slot.result = result;
        if (!signal.aborted) onDone?.(result);
      })
      .finally(() => {
        running--;
        wake();
      });
    // A failure is met where the result is waited for.
    slot.done.catch(() => undefined);
    waiting.push(slot);
  };

  for (;;) {
    while (more && !signal.aborted && running < workers && waiting.length < AHEAD * workers) {
      const next = await source.next();
      if (next.done === true) more = false;
      else launch(next.value);
    }
    const first = waiting[0];
    if (first === undefined) return;
    if (first.result !== null) {
      waiting.shift();
      yield first.result;
    } else if (signal.aborted) {
      waiting.shift();
    } else {
      // Whatever ends first: the one that is due, or another that leaves room to start the next.
      const freed = new Promise<void>((resolve) => {
        wake = resolve;
      });
      try {
        await Promise.race([first.done, freed]);
      } catch (error) {
        // What is under way when the batch is stopped fails, and is left out.
        if (!signal.aborted) throw error;
      }
    }
  }
}
