import { pool as makePool, Promise as PoolPromise, type Pool as ProcessPool } from 'workerpool';
import { MachineError } from '../asset/errors.js';
import { requireFiles } from '../asset/open-files.js';
import { unreadableReport } from '../check/check-asset.js';
import { isHeapFull, lostReason, lostWorker } from './lost-worker.js';
import type { CheckResult, CheckTask } from './task.js';
import { type TaskLimits, tooLong, type Verb } from './task-limits.js';

/** One kind of work that workers are given. */
export interface Work<Task, Result> {
  readonly verb: Verb;
  /** What their script offers for it: a function of the task and the seconds that it may take. */
  readonly method: string;
  /** The result for an asset that has to be given up. */
  lost(task: Task, reason: string): Result;
}

const CHECK: Work<CheckTask, CheckResult> = {
  verb: 'check',
  method: 'runWithin',
  lost: ({ name }, reason) => ({ report: unreadableReport(name, reason, null), text: null }),
};

export interface Pool {
  check(task: CheckTask): Promise<CheckResult>;
  /** @param hear Called with what the worker tells on the way. */
  run<Task, Result>(
    work: Work<Task, Result>,
    task: Task,
    hear?: (told: unknown) => void,
  ): Promise<Result>;
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
 * Workers that check or mend one asset at a time each. They are processes, since flags of the engine apply
 * to a whole process, and since what ends one leaves the others alone.
 *
 * @param file Script that offers `runWithin`, and what other work is asked for, to the pool.
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
  const run: Pool['run'] = async (work, task, hear = () => undefined) => {
    // A worker that was lost for no fault of the asset is worth another try; a bomb is not.
    for (let isLast = false; ; isLast = true) {
      const answer = await ask(pool, work, task, { limits, grace, hear });
      if ('result' in answer) return answer.result;
      // Whoever ended the pool has no use for the task; the asset is not at fault.
      if (closed !== null) throw answer.error;
      const reason = reasonOf(answer, limits, isLast, work.verb);
      if (reason !== null) return work.lost(task, reason);
    }
  };
  return {
    check: (task) => run(CHECK, task),
    run,
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

interface Asked {
  readonly limits: TaskLimits;
  readonly grace: number;
  readonly hear: (told: unknown) => void;
}

/** Has a worker do the work, and ends one that stays silent for too long. */
async function ask<Task, Result>(
  pool: ProcessPool,
  { method }: Work<Task, Result>,
  task: Task,
  { limits: { seconds }, grace, hear }: Asked,
): Promise<{ readonly result: Result } | Failure> {
  let stderr = '';
  let stop = (): void => undefined;
  try {
    const answer = pool.exec(method, [task, seconds], {
      on: (payload: { readonly stderr?: string; readonly told?: unknown }) => {
        stderr = (stderr + (payload.stderr ?? '')).slice(-MOST_STDERR);
        if (payload.told !== undefined) hear(payload.told);
      },
    });
    stop = awake(1000 * (seconds + grace), () => answer.cancel());
    return { result: await answer };
  } catch (error) {
    return { error, stderr };
  } finally {
    stop();
  }
}

/** Why the work was not done; null where another try may succeed. Throws MachineError. */
function reasonOf(
  { error, stderr }: Failure,
  limits: TaskLimits,
  isLast: boolean,
  verb: Verb,
): string | null {
  const words = error instanceof Error ? error.message : String(error);
  // What a worker throws comes as a copy.
  if (error instanceof Error && error.name === 'MachineError') throw new MachineError(words);
  if (error instanceof PoolPromise.CancellationError) return tooLong(limits.seconds, verb);
  const lost = lostWorker(words, stderr);
  if (!isLast && !(lost !== null && isHeapFull(lost))) return null;
  return lost === null
    ? `the process that ${verb}s it failed twice: ${words}`
    : lostReason(lost, limits, verb);
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
