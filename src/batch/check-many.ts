import type { CheckResult, CheckTask } from './task.js';

/** An asset to check or mend, or the result of a path in the list that needs no work. */
export type Job<Task = CheckTask, Result = CheckResult> =
  | { readonly kind: 'check'; readonly task: Task }
  | { readonly kind: 'known'; readonly result: Result };

export interface BatchOptions<Task = CheckTask, Result = CheckResult> {
  readonly check: (task: Task) => Promise<Result>;
  readonly workers: number;
  /** Ends the batch early; what is done by then is still given out. */
  readonly signal: AbortSignal;
  /** Called with each result as it comes, in any order. */
  readonly onDone?: (result: Result) => void;
}

/** Results that may wait for a slower one before them, per worker: memory does not grow with the list. */
const AHEAD = 64;

/** The result of a check, once `done` resolves; that rejects with what the check threw. */
interface Slot<Result> {
  result: { readonly is: Result } | null;
  done: Promise<void>;
}

/**
 * Checks a list and gives the results in its order, whatever finishes first. After an abort those
 * that are done are given out, still in order, without those that are not.
 */
export async function* checkMany<Task = CheckTask, Result = CheckResult>(
  jobs: AsyncIterable<Job<Task, Result>>,
  { check, workers, signal, onDone }: BatchOptions<Task, Result>,
): AsyncGenerator<Result> {
  const source = jobs[Symbol.asyncIterator]();
  const waiting: Slot<Result>[] = [];
  let running = 0;
  let more = true;
  let wake: () => void = () => undefined;
  signal.addEventListener('abort', () => wake(), { once: true });

  const launch = (job: Job<Task, Result>): void => {
    running++;
    const slot: Slot<Result> = { result: null, done: Promise.resolve() };
    const work = job.kind === 'known' ? Promise.resolve(job.result) : check(job.task);
    slot.done = work
      .then((result) => {
        slot.result = { is: result };
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
    const [first] = waiting;
    if (first === undefined) return;
    if (first.result !== null || signal.aborted) {
      waiting.shift();
      if (first.result !== null) yield first.result.is;
    } else {
      // Until the result that is due is there, or there is room to start the next check.
      const freed = new Promise<void>((resolve) => {
        wake = resolve;
      });
      await Promise.race([first.done, freed]).catch((error) => {
        // Checks that run when the batch is stopped fail, and are left out.
        if (!signal.aborted) throw error;
      });
    }
  }
}
