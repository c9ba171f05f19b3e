import { PassThrough, Readable } from 'node:stream';
import { Command } from 'commander';
import { addGrade } from '../../src/cli/grade/grade-options.js';
import type { Io } from '../../src/cli/io.js';
import { expectValidGrades } from '../support/valid-grades.js';

export interface GradeRun {
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

export interface GradeSetting {
  /** The script that workers run. */
  readonly worker?: string;
  /** Width of the terminal; without it there is none. */
  readonly columns?: number;
  /** Is handed what Ctrl-C would call. */
  readonly onStop?: (stop: () => void) => void;
}

/** Runs `trysquare grade` by its command line, in this process; what is wrong is thrown. */
export async function gradeLine(
  cwd: string,
  args: readonly string[],
  { worker, columns, onStop }: GradeSetting = {},
): Promise<GradeRun> {
  const [stdout, stderr] = [new PassThrough(), new PassThrough()];
  const written = { stdout: '', stderr: '' };
  // Read as it comes: a stream that nobody reads takes no more.
  stdout.on('data', (part) => {
    written.stdout += String(part);
  });
  stderr.on('data', (part) => {
    written.stderr += String(part);
  });
  const io: Io = {
    stdin: Readable.from([]),
    stdout,
    stderr,
    cwd,
    columns: columns ?? null,
    progress: false,
    progressColumns: 80,
    colour: false,
    worker: worker ?? null,
    pageScript: null,
    clock: () => new Date(0),
    onStop: (stop) => {
      onStop?.(stop);
      return () => undefined;
    },
  };
  let code = -1;
  const program = new Command('trysquare')
    .exitOverride()
    .configureOutput({ writeOut: (text) => void stdout.write(text), writeErr: () => undefined });
  addGrade(program, io, (result) => {
    code = result;
  });
  await program.parseAsync(['grade', ...args], { from: 'user' });
  expectValidGrades(cwd, args);
  return { code, ...written };
}
