import { pool as makePool, Promise as PoolPromise, type Pool as ProcessPool } from 'workerpool';
import { MachineError } from '../asset/errors.js';
import { requireFiles } from '../asset/open-files.js';
import { unreadableReport } from '../check/check-asset.js';
import { unpackReport } from './packed-report.js';
import type { CheckResult, CheckTask, PackedResult } from './task.js';

/** What one asset may take before it is given up as unreadable. */
export interface TaskLimits {
  readonly seconds: number;
  /** Of the worker's heap; buffers are bounded by the reader. MiB. */
  readonly mebibytes: number;
}

/** Far above what a character needs: 10 million vertices take some 20 s. A heap held closer costs time. */
export const DEFAULT_LIMITS: TaskLimits = { seconds: 120, mebibytes: 2048 };

export interface Pool {
  check(task: CheckTask): Promise<CheckResult>;
  /** Ends all workers, whatever they are at. */
  close(): Promise<void>;
}

/**
 * Each worker has one core to itself: helpers of the engine that collect and compile beside it would
 * take the next worker's, and cost more in all than they save.
 */
const ENGINE_FLAGS: readonly string[] = [
  '--single-threaded-gc',
  '--no-concurrent-recompilation',
  // MiB. A check leaves little for long: more room for what is new only lets a worker grow.
  '--max-semi-space-size=4',
];

/** The flags of a worker's engine. */
export function workerFlags({ mebibytes }: TaskLimits): string[] {
  return [...ENGINE_FLAGS, `--max-old-space-size=${mebibytes}`];
}

/**
 * How the C library keeps the room that a rig's arrays leave, for the next rig. By default it gives it
 * back to the system and asks for it again page by page, which takes up to a tenth of a check, the more
 * so the more workers there are. Other C libraries do not know these names. Bytes.
 */
const KEEP_ROOM: Readonly<Record<string, string>> = {
  MALLOC_TRIM_THRESHOLD_: String(64 << 20),
  // The most that older versions take.
  MALLOC_MMAP_THRESHOLD_: String(32 << 20),
  // Pages of the largest size where the system offers them on request.
  GLIBC_TUNABLES: 'glibc.malloc.hugetlb=1',
};

/** Until a worker that was told to end is killed. The library takes 0 for a whole second. */
const KILL_AFTER_MS = 1;

/** Files that are open at once while a worker starts: both ends of its streams and of its channel, and more. */
const FILES_TO_START = 16;

/**
 * Workers that check one asset at a time each. They are processes, since flags of the engine hold for
 * a whole process, and since whatever ends one leaves the others.
 *
 * @param file Script that offers `runPacked` to the pool.
 * @param most How many may work at once.
 * @param ready How many of them start now; the others when a task waits for them.
 * @throws MachineError when there are no files left for one that starts now; `check` when there are none later.
 */
export function openPool(file: string, most: number, ready: number, limits: TaskLimits): Pool {
  const pool = makePool(file, {
    workerType: 'process',
    minWorkers: ready,
    maxWorkers: most,
    workerTerminateTimeout: KILL_AFTER_MS,
    // What the engine has to say about a lack of memory is not for the user.
    emitStdStreams: true,
    // Where it lacks them, starting a process fails in a way that cannot be caught.
    onCreateWorker: () => {
      requireFiles(FILES_TO_START);
      return undefined;
    },
    forkOpts: {
      execArgv: workerFlags(limits),
      // What is set already stays.
      env: { ...KEEP_ROOM, ...process.env },
      serialization: 'advanced',
    },
  });
  let closing = false;
  return {
    check: (task) => checkWithin(pool, task, limits, () => closing),
    close: async () => {
      if (closing) return;
      closing = true;
      await pool.terminate(true);
    },
  };
}

/**
 * A worker that was lost for no fault of the asset is worth another try; a bomb is not. Throws when the
 * pool was closed meanwhile.
 */
async function checkWithin(
  pool: ProcessPool,
  task: CheckTask,
  limits: TaskLimits,
  isClosing: () => boolean,
): Promise<CheckResult> {
  let lost = '';
  for (let tries = 0; tries < 2; tries++) {
    try {
      const sent: PackedResult = await pool
        .exec('runPacked', [task])
        .timeout(1000 * limits.seconds);
      return { ...sent, report: unpackReport(sent.report) };
    } catch (error) {
      // Whoever ended the pool has no use for the task; the asset is not at fault.
      if (isClosing()) throw error;
      // What a worker throws comes as a copy.
      if (error instanceof Error && error.name === 'MachineError')
        throw new MachineError(error.message);
      const reason = bombReason(error, limits);
      if (reason !== null) return given(task, reason);
      lost = error instanceof Error ? error.message : String(error);
    }
  }
  return given(task, `the worker that checked it stopped twice: ${lost}`);
}

function bombReason(error: unknown, limits: TaskLimits): string | null {
  if (error instanceof PoolPromise.TimeoutError)
    return `checking it takes longer than ${limits.seconds} s; --time-limit sets another limit`;
  // How the engine ends a process whose heap is full; the library tells it in its message alone.
  if (error instanceof Error && /`SIGABRT`|exitCode: `134`/.test(error.message))
    return `checking it takes more than ${limits.mebibytes} MiB of memory; --memory-limit sets another limit`;
  return null;
}

function given(task: CheckTask, reason: string): CheckResult {
  return { report: unreadableReport(task.name, reason, null), text: null };
}
