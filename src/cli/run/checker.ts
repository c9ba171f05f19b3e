import { type CheckResult, type CheckTask, runTask } from '../../batch/task.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import { smallGuard, timeGuard } from '../../batch/time-guard.js';
import { type Io, importAlone } from '../io.js';
import type { FoundAsset } from '../paths/find-assets.js';
import { type WorkerFlags, Workers } from './workers.js';

export interface CheckerContext {
  readonly flags: WorkerFlags;
  readonly io: Io;
  /** Workers that were started before the list was known; the checker ends them. */
  readonly started?: Workers | null;
  /** Called when the user stops the run; workers are ended then. */
  readonly onStop: () => void;
}

/**
 * Checks each file of a list in a worker, which time and memory can be taken from. A file alone is
 * checked in this thread if it is small, since starting a worker takes as long as checking it; what
 * turns out to be more than that is given to a worker after all.
 */
export class Checker {
  /** How many are checked at once. */
  readonly count: number;
  private workers: Workers | null = null;
  private stopListening: () => void = () => undefined;

  constructor(
    list: readonly FoundAsset[],
    private readonly context: CheckerContext,
  ) {
    const { flags, io, started = null } = context;
    const files = list.filter((asset) => asset.kind === 'file').length;
    if (files > 1) this.listen();
    if (files < 2 || io.worker === null) {
      this.count = 1;
      void started?.close();
      return;
    }
    this.workers = started ?? new Workers(io.worker, flags);
    this.count = Math.min(this.workers.most, files);
    // Workers start while the list is gone through; a cache may leave them nothing to do.
    if (flags.cache === undefined) void this.workers.start(this.count);
  }

  async check(task: CheckTask): Promise<CheckResult> {
    const { flags, io } = this.context;
    if (this.workers === null) {
      const seconds = flags.timeLimit ?? DEFAULT_LIMITS.seconds;
      const load = (path: string) => (io.loadModule ?? importAlone)(path, seconds);
      if (io.worker === null) return runTask(task, timeGuard(seconds), load);
      // Memory can be bounded in a worker alone.
      if (flags.memoryLimit === undefined) {
        const guard = smallGuard(seconds);
        const result = await runTask(task, guard, load);
        if (!guard.gaveUp) return result;
      }
      this.listen();
      this.workers = new Workers(io.worker, flags);
    }
    return this.workers.check(task, this.count);
  }

  /** Ends the workers, even at work, and no longer listens. */
  async close(): Promise<void> {
    this.stopListening();
    await this.workers?.close();
  }

  /** While this thread checks a file itself it hears nothing: a stop then just ends the process. */
  private listen(): void {
    this.stopListening = this.context.io.onStop(() => {
      this.context.onStop();
      void this.workers?.close();
    });
  }
}
