import { Piscina } from 'piscina';
import { unreadableReport } from '../check/check-asset.js';
import type { CheckResult, CheckTask } from './task.js';

/** What one asset may take before it is given up as unreadable. */
export interface TaskLimits {
  readonly seconds: number;
  /** Of the worker's heap; buffers are bounded by the reader. MiB. */
  readonly mebibytes: number;
}

/** Far above what a character needs: 10 million vertices take some 20 s. */
export const DEFAULT_LIMITS: TaskLimits = { seconds: 120, mebibytes: 1024 };

export interface Pool {
  check(task: CheckTask): Promise<CheckResult>;
  /** Ends all workers, whatever they are at. */
  close(): Promise<void>;
}

/**
 * Workers that check one asset at a time each.
 *
 * @param file The built command, which exports `runTask`.
 */
export function openPool(file: string, workers: number, limits: TaskLimits): Pool {
  const pool = new Piscina<CheckTask, CheckResult>({
    filename: file,
    name: 'runTask',
    minThreads: workers,
    maxThreads: workers,
    resourceLimits: { maxOldGenerationSizeMb: limits.mebibytes, maxYoungGenerationSizeMb: 16 },
  });
  let closing = false;
  // A worker lost between two tasks is replaced; one lost in a task is told by the task.
  pool.on('error', () => undefined);
  return {
    check: (task) => checkWithin(pool, task, limits, () => closing),
    close: () => {
      closing = true;
      return pool.destroy();
    },
  };
}

/**
 * A worker that was lost for no fault of the asset is worth another try; a bomb is not. Throws when the
 * pool was closed meanwhile.
 */
async function checkWithin(
  pool: Piscina<CheckTask, CheckResult>,
  task: CheckTask,
  limits: TaskLimits,
  isClosing: () => boolean,
): Promise<CheckResult> {
  let lost = '';
  for (let tries = 0; tries < 2; tries++) {
    const signal = AbortSignal.timeout(1000 * limits.seconds);
    try {
      return await pool.run(task, { signal });
    } catch (error) {
      // Whoever ended the pool has no use for the task; the asset is not at fault.
      if (isClosing()) throw error;
      const reason = bombReason(error, signal, limits);
      if (reason !== null) return given(task, reason);
      lost = error instanceof Error ? error.message : String(error);
    }
  }
  return given(task, `the worker that checked it stopped twice: ${lost}`);
}

function bombReason(error: unknown, signal: AbortSignal, limits: TaskLimits): string | null {
  if (signal.aborted)
    return `checking it takes longer than ${limits.seconds} s; --time-limit sets another limit`;
  const code = error instanceof Error && 'code' in error ? error.code : null;
  if (code === 'ERR_WORKER_OUT_OF_MEMORY')
    return `checking it takes more than ${limits.mebibytes} MiB of memory; --memory-limit sets another limit`;
  return null;
}

function given(task: CheckTask, reason: string): CheckResult {
  return { report: unreadableReport(task.name, reason, null), text: null };
}
