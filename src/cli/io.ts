import type { Readable, Writable } from 'node:stream';

/** Everything a run touches outside itself, so that a test can hand in its own. */
export interface Io {
  readonly stdin: Readable;
  readonly stdout: Writable;
  readonly stderr: Writable;
  readonly cwd: string;
  /** Columns of the terminal that standard output goes to; null for a pipe or file. */
  readonly columns: number | null;
  /** Whether standard error is a terminal that a progress line can be drawn on. */
  readonly progress: boolean;
  /** Whether the terminal and its user want colour, before any option. */
  readonly colour: boolean;
  /** The built command, for workers to load; null where there is none, and all runs in this thread. */
  readonly worker: string | null;
  /** The time now. */
  clock(): Date;
  /** Calls `stop` when the user wants the run to end (Ctrl-C); gives back how to stop listening. */
  onStop(stop: () => void): () => void;
}

/**
 * The process's own streams.
 *
 * @param worker Path of the built command.
 */
export function processIo(worker: string | null = null): Io {
  const { stdin, stdout, stderr, env } = process;
  const terminal = stdout.isTTY === true;
  return {
    stdin,
    stdout,
    stderr,
    cwd: process.cwd(),
    columns: terminal ? (stdout.columns ?? 80) : null,
    progress: stderr.isTTY === true,
    colour: terminal && (env.NO_COLOR === undefined || env.NO_COLOR === '') && env.TERM !== 'dumb',
    worker,
    clock: () => new Date(),
    onStop(stop) {
      // The second time the process ends as it would without us.
      process.once('SIGINT', stop);
      return () => process.removeListener('SIGINT', stop);
    },
  };
}
