import { pool as makePool, Promise as PoolPromise, type Pool as ProcessPool } from 'workerpool';
import { MachineError } from '../asset/errors.js';
import { requireFiles } from '../asset/open-files.js';
import { unreadableReport } from '../check/check-asset.js';
import { isHeapFull, lostReason, lostWorker } from './lost-worker.js';
import type { CheckResult, CheckTask } from './task.js';
import { type TaskLimits, tooLong } from './task-limits.js';

export interface Pool {
  check(task: CheckTask): Promise<CheckResult>;
  /** Ends all workers, whatever they do. */
  close(): Promise<void>;
}

/** MiB. A check leaves little for long: more room for what is new only lets a worker grow, by a quarter. */
const ROOM_FOR_NEW = 4;

export function workerFlags({ mebibytes }: TaskLimits): string[] {
  return [`--max-semi-space-size=${ROOM_FOR_NEW}`, `--max-old-space-size=${mebibytes}`];
}

/** Time for a worker to end before it is killed. The library takes 0 for a whole second. */
const KILL_AFTER_MS = 1;
/** Files that are open at once while a worker starts: both ends of its streams and of its channel, and more. */
const FILES_TO_START = 16;
/**
 * A worker ends what takes too long by itself and says so. One that stays silent for this long after
 * that, in seconds, hangs where nothing in it can interrupt it. Its start is allowed for.
 */
const GRACE = 10;

/**
 * Workers that check one asset at a time each. They are processes, since flags of the engine apply
 * to a whole process, and since what ends one leaves the others alone.
 *
 * @param file Script that offers `runWithin` to the pool.
 * @param ready How many of at `most` so many start now; the others when a task waits for them.
 * @throws MachineError when there are no files left for one that starts now; `check` when there are none later.
 */
export function openPool(
  file: string,
  most: number,
  ready: number,
  limits: TaskLimits,
  grace = GRACE,
): Pool {
  const pool = makePool(file, {
    workerType: 'process',
    minWorkers: ready,
    maxWorkers: most,
    workerTerminateTimeout: KILL_AFTER_MS,
    // What the engine says before it aborts is read here, and is not for the user.
    emitStdStreams: true,
    // Where it lacks them, starting a process fails in a way that cannot be caught.
    onCreateWorker: () => void requireFiles(FILES_TO_START),
    forkOpts: { execArgv: workerFlags(limits), serialization: 'advanced' },
  });
  let closed: ReturnType<ProcessPool['terminate']> | null = null;
  return {
    async check(task) {
      // A worker that was lost for no fault of the asset is worth another try; a bomb is not.
      for (let isLast = false; ; isLast = true) {
        const answer = await ask(pool, task, limits, grace);
        if (!('error' in answer)) return answer;
        // Whoever ended the pool has no use for the task; the asset is not at fault.
        if (closed !== null) throw answer.error;
        const reason = reasonOf(answer, limits, isLast);
        if (reason !== null)
          return { report: unreadableReport(task.name, reason, null), text: null };
      }
    },
    async close() {
      // Whoever asks again waits, too: this process must not end before they have.
      closed ??= pool.terminate(true);
      await closed;
    },
  };
}

/** What the pool threw instead of a result, and what the worker wrote on standard error. */
interface Failure {
  readonly error: unknown;
  readonly stderr: string;
}

/** Letters kept of what a worker writes on standard error: its last words are the ones that count. */
const MOST_STDERR = 1 << 16;

/** Has a worker check the asset, and ends one that stays silent for too long. */
async function ask(
  pool: ProcessPool,
  task: CheckTask,
  { seconds }: TaskLimits,
  grace: number,
): Promise<CheckResult | Failure> {
  let stderr = '';
  let stop = (): void => undefined;
  try {
    const answer = pool.exec('runWithin', [task, seconds], {
      on: (payload: { readonly stderr?: string }) => {
        stderr = (stderr + (payload.stderr ?? '')).slice(-MOST_STDERR);
      },
    });
    stop = awake(1000 * (seconds + grace), () => answer.cancel());
    return await answer;
  } catch (error) {
    return { error, stderr };
  } finally {
    stop();
  }
}

/** Why an asset could not be checked; null where another try may succeed. Throws MachineError. */
function reasonOf({ error, stderr }: Failure, limits: TaskLimits, isLast: boolean): string | null {
  const words = error instanceof Error ? error.message : String(error);
  // What a worker throws comes as a copy.
  if (error instanceof Error && error.name === 'MachineError') throw new MachineError(words);
  if (error instanceof PoolPromise.CancellationError) return tooLong(limits.seconds);
  const lost = lostWorker(words, stderr);
  if (!isLast && !(lost !== null && isHeapFull(lost))) return null;
  return lost === null
    ? `the process that checks it failed twice: ${words}`
    : lostReason(lost, limits);
}

/** Milliseconds that a wait is counted in. */
const STEP = 250;

/**
 * Calls `onEnd` once this thread has been free for so long. Time in which it was busy does not count:
 * what came meanwhile has not been looked at yet, and must not be taken for missing. Gives back how to
 * stop the wait.
 */
function awake(milliseconds: number, onEnd: () => void): () => void {
  let left = milliseconds;
  let timer: NodeJS.Timeout;
  const step = (): void => {
    const length = Math.min(STEP, left);
    const due = performance.now() + length;
    timer = setTimeout(() => {
      const late = performance.now() - due > STEP / 2;
      if (!late) left -= length;
      if (left <= 0) onEnd();
      else step();
    }, length);
  };
  step();
  return () => clearTimeout(timer);
}
