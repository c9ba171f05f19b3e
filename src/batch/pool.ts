import { pool as makePool, Promise as PoolPromise, type Pool as ProcessPool } from 'workerpool';
import { MachineError } from '../asset/errors.js';
import { requireFiles } from '../asset/open-files.js';
import { unreadableReport } from '../check/check-asset.js';
import { awake } from './awake.js';
import { isHeapFull, lostReason, lostWorker } from './lost-worker.js';
import type { CheckResult, CheckTask } from './task.js';
import { type TaskLimits, tooLong } from './task-limits.js';

export interface Pool {
  check(task: CheckTask): Promise<CheckResult>;
  /** Ends all workers, whatever they are at. */
  close(): Promise<void>;
}

/** MiB. A check leaves little for long: more room for what is new only lets a worker grow, by a quarter. */
const ROOM_FOR_NEW = 4;

/** The flags of a worker's engine. */
export function workerFlags({ mebibytes }: TaskLimits): string[] {
  return [`--max-semi-space-size=${ROOM_FOR_NEW}`, `--max-old-space-size=${mebibytes}`];
}

/** Until a worker that was told to end is killed. The library takes 0 for a whole second. */
const KILL_AFTER_MS = 1;

/** Files that are open at once while a worker starts: both ends of its streams and of its channel, and more. */
const FILES_TO_START = 16;

/**
 * A worker ends what takes too long by itself and says so. One that stays silent for this long after
 * that, in seconds, hangs where nothing in it can interrupt it. Room for its start is in it.
 */
const GRACE = 10;

/**
 * Workers that check one asset at a time each. They are processes, since flags of the engine hold for
 * a whole process, and since whatever ends one leaves the others.
 *
 * @param file Script that offers `runWithin` to the pool.
 * @param most How many may work at once.
 * @param ready How many of them start now; the others when a task waits for them.
 * @param grace Seconds after the limit until a worker that says nothing is ended.
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
    onCreateWorker: () => {
      requireFiles(FILES_TO_START);
      return undefined;
    },
    forkOpts: {
      execArgv: workerFlags(limits),
      serialization: 'advanced',
    },
  });
  let closed: ReturnType<ProcessPool['terminate']> | null = null;
  return {
    check: (task) => checkWithin(pool, task, { ...limits, grace }, () => closed !== null),
    close: async () => {
      // Whoever asks again waits, too: this process must not end before they have.
      closed ??= pool.terminate(true);
      await closed;
    },
  };
}

interface PoolLimits extends TaskLimits {
  readonly grace: number;
}

/**
 * A worker that was lost for no fault of the asset is worth another try; a bomb is not. Throws when the
 * pool was closed meanwhile.
 */
async function checkWithin(
  pool: ProcessPool,
  task: CheckTask,
  limits: PoolLimits,
  isClosing: () => boolean,
): Promise<CheckResult> {
  for (let tries = 1; ; tries++) {
    let stderr = '';
    try {
      return await ask(pool, task, limits, (text) => {
        stderr = (stderr + text).slice(-MOST_STDERR);
      });
    } catch (error) {
      // Whoever ended the pool has no use for the task; the asset is not at fault.
      if (isClosing()) throw error;
      // What a worker throws comes as a copy.
      if (error instanceof Error && error.name === 'MachineError')
        throw new MachineError(error.message);
      if (error instanceof PoolPromise.CancellationError)
        return given(task, tooLong(limits.seconds));
      const lost = lostWorker(wordsOf(error), stderr);
      if (lost !== null && isHeapFull(lost)) return given(task, lostReason(lost, limits));
      if (tries === 1) continue;
      return given(
        task,
        lost === null
          ? `the process that checks it failed twice: ${wordsOf(error)}`
          : lostReason(lost, limits),
      );
    }
  }
}

/** Letters kept of what a worker writes on standard error: its last words are the ones that count. */
const MOST_STDERR = 1 << 16;

/** Has a worker check the asset. Rejects as cancelled when it stays silent for too long. */
async function ask(
  pool: ProcessPool,
  task: CheckTask,
  { seconds, grace }: PoolLimits,
  onStderr: (text: string) => void,
): Promise<CheckResult> {
  const answer = pool.exec('runWithin', [task, seconds], {
    on: (payload: { readonly stderr?: string }) => onStderr(payload.stderr ?? ''),
  });
  const stop = awake(1000 * (seconds + grace), () => answer.cancel());
  try {
    return await answer;
  } finally {
    stop();
  }
}

function wordsOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

function given(task: CheckTask, reason: string): CheckResult {
  return { report: unreadableReport(task.name, reason, null), text: null };
}
