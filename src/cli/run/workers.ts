import { type Dirent, readdirSync, statSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { resolve } from 'node:path';
import type { Pool, Work } from '../../batch/pool.js';
import type { CheckResult, CheckTask } from '../../batch/task.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import type { Io } from '../io.js';
import { isAssetName, isPattern } from '../paths/find-assets.js';

/** Options that say how many workers there are, and what they may spare or take for an asset. */
export interface WorkerFlags {
  readonly workers?: number;
  readonly cache?: string;
  /** Seconds an asset. */
  readonly timeLimit?: number;
  /** MiB an asset. */
  readonly memoryLimit?: number;
}

/** How many workers start before it is known how many assets there are: as many as two assets need. */
const EARLY = 2;

/** Folders in one that is a library rather than a delivery of one asset with what belongs to it. */
const LIBRARY_FOLDERS = 8;

/**
 * Workers that start while what the paths name is looked for, which takes as long. Null where that may
 * be a single file, which needs none, or where a cache may leave them nothing to do.
 */
export async function startEarly(
  paths: readonly string[],
  flags: WorkerFlags,
  io: Io,
): Promise<Workers | null> {
  if (io.worker === null || flags.cache !== undefined || !seemMany(paths, io.cwd)) return null;
  const workers = new Workers(io.worker, flags);
  await workers.start(EARLY);
  return workers;
}

/** Whether paths name more than one asset as far as a glance shows: false where only a search tells. */
export function seemMany([path = '-', ...others]: readonly string[], cwd: string): boolean {
  if (others.length > 0) return true;
  if (path === '-') return false;
  const full = resolve(cwd, path);
  try {
    const stats = statSync(full, { throwIfNoEntry: false });
    if (stats?.isDirectory() !== true) return stats === undefined && isPattern(path);
    const entries = readdirSync(full, { withFileTypes: true });
    const count = (is: (entry: Dirent) => boolean): number => entries.filter(is).length;
    return (
      count((entry) => !entry.isDirectory() && isAssetName(entry.name)) > 1 ||
      count((entry) => entry.isDirectory()) >= LIBRARY_FOLDERS
    );
  } catch {
    // Why it cannot be looked at is reported when it is read.
    return false;
  }
}

/** The worker processes of a run. */
export class Workers {
  /** How many may work at once. */
  readonly most: number;
  private pool: Promise<Pool> | null = null;

  /** @param file The script that they run. */
  constructor(
    private readonly file: string,
    private readonly flags: WorkerFlags,
  ) {
    this.most = flags.workers ?? availableParallelism();
  }

  /** Starts some, where none were started before; others start when a task waits for them. */
  start(count: number): Promise<Pool> {
    this.pool ??= this.open(Math.min(count, this.most));
    return this.pool;
  }

  /** @param count How many start, where none were started before. */
  async check(task: CheckTask, count: number): Promise<CheckResult> {
    return (await this.start(count)).check(task);
  }

  /** The same for other work; `hear` is called with what the worker tells on the way. */
  async run<Task, Result>(
    work: Work<Task, Result>,
    task: Task,
    count: number,
    hear: (told: unknown) => void,
  ): Promise<Result> {
    return (await this.start(count)).run(work, task, hear);
  }

  /** Ends them all, even at work. */
  async close(): Promise<void> {
    // Why they could not start is reported where one was wanted.
    const pool = await this.pool?.catch(() => null);
    await pool?.close();
  }

  private async open(ready: number): Promise<Pool> {
    const { openPool } = await import('../../batch/pool.js');
    const { timeLimit, memoryLimit } = this.flags;
    return openPool(this.file, this.most, ready, {
      seconds: timeLimit ?? DEFAULT_LIMITS.seconds,
      mebibytes: memoryLimit ?? DEFAULT_LIMITS.mebibytes,
    });
  }
}
