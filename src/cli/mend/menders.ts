import type { Work } from '../../batch/pool.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import { type Io, importAlone } from '../io.js';
import { Workers } from '../run/workers.js';
import type { MendFlags } from './mend-flags.js';
import type { MendStep } from './mend-progress.js';
import type { MendDone, MendTask } from './mend-task.js';
import { notMended } from './not-mended.js';

const MEND: Work<MendTask, MendDone> = {
  verb: 'mend',
  method: 'mendWithin',
  lost: (task, reason) => notMended(task, 'unreadable', reason),
};

/**
 * Mends each asset of a list in a worker, which time and memory can be taken from, and which writes what
 * it made. Without a script for workers all runs in this thread.
 */
export class Menders {
  /** How many are mended at once. */
  readonly count: number;
  private readonly workers: Workers | null;
  private readonly stopListening: () => void;

  /**
   * @param files How many there are to mend.
   * @param started Workers that were started before that was known; they are ended here.
   * @param onStop Called when the user stops the run; workers are ended then.
   */
  constructor(
    files: number,
    private readonly flags: MendFlags,
    private readonly io: Io,
    started: Workers | null,
    onStop: () => void,
  ) {
    this.workers = started ?? (io.worker === null ? null : new Workers(io.worker, flags));
    this.count = Math.max(1, Math.min(this.workers?.most ?? 1, files));
    // Workers start while the rest is prepared.
    if (files > 0) void this.workers?.start(this.count).catch(() => undefined);
    this.stopListening = io.onStop(() => {
      onStop();
      void this.workers?.close();
    });
  }

  async mend(task: MendTask, watch: (step: MendStep) => void): Promise<MendDone> {
    if (this.workers !== null)
      // Our own worker tells nothing else.
      return this.workers.run(MEND, task, this.count, (told) => watch(told as MendStep));
    const { mendWithin } = await import('./mend-work.js');
    const seconds = this.flags.timeLimit ?? DEFAULT_LIMITS.seconds;
    const load = (path: string) => (this.io.loadModule ?? importAlone)(path, seconds);
    return mendWithin(task, seconds, load, watch);
  }

  /** Ends the workers, even at work, and no longer listens. */
  async close(): Promise<void> {
    this.stopListening();
    await this.workers?.close();
  }
}
