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
  /**
   * How large a task is: of those whose results may wait, the largest is started first, so that none is
   * left to one worker at the end. Started in order where absent.
   */
  readonly sizeOf?: (task: Task) => number;
  /** Called with each result as it comes, in any order. */
  readonly onDone?: (result: Result) => void;
}

/** Results that may wait for a slower one before them, per worker: memory does not grow with the list. */
const AHEAD = 64;

/** The result of a job, once `done` resolves; that rejects with what the check threw. */
interface Slot<Task, Result> {
  readonly job: Job<Task, Result>;
  result: { readonly is: Result } | null;
  /** Null until it is started. */
  done: Promise<void> | null;
}

/**
 * Checks a list and gives the results in its order, whatever finishes first. After an abort those
 * that are done are given out, still in order, without those that are not.
 */
export async function* checkMany<Task = CheckTask, Result = CheckResult>(
  jobs: AsyncIterable<Job<Task, Result>>,
  { check, workers, signal, sizeOf, onDone }: BatchOptions<Task, Result>,
): AsyncGenerator<Result> {
  const source = jobs[Symbol.asyncIterator]();
  const waiting: Slot<Task, Result>[] = [];
  const unstarted: Slot<Task, Result>[] = [];
  let running = 0;
  let more = true;
  let wake: () => void = () => undefined;
  signal.addEventListener('abort', () => wake(), { once: true });

  const start = (slot: Slot<Task, Result>): void => {
    running++;
    const { job } = slot;
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
  };
  /** How much is to be started before a job: all that is more, and of as much what comes first. */
  const weight = ({ job }: Slot<Task, Result>): number =>
    job.kind === 'known' ? Infinity : (sizeOf?.(job.task) ?? 0);
  // Where sizes count, the next to start is looked for among all whose results may wait.
  const ahead = sizeOf === undefined ? 1 : Infinity;
  const next = async (): Promise<Slot<Task, Result> | undefined> => {
    while (more && unstarted.length < ahead && waiting.length < AHEAD * workers) {
      const { done, value } = await source.next();
      if (done === true) more = false;
      else {
        const slot = { job: value, result: null, done: null };
        unstarted.push(slot);
        waiting.push(slot);
      }
    }
    const at = unstarted.reduce((best, slot, index) => {
      const largest = unstarted[best];
      return largest !== undefined && weight(slot) > weight(largest) ? index : best;
    }, 0);
    return unstarted.splice(at, 1)[0];
  };

  for (;;) {
    while (!signal.aborted && running < workers) {
      const slot = await next();
      if (slot === undefined) break;
      if (!signal.aborted) start(slot);
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
      await Promise.race(first.done === null ? [freed] : [first.done, freed]).catch((error) => {
        // Checks that run when the batch is stopped fail, and are left out.
        if (!signal.aborted) throw error;
      });
    }
  }
}
