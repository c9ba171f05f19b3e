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
}

/** The process's own streams. */
export function processIo(): Io {
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
  };
}
