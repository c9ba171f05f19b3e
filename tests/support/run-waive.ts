import { PassThrough, Readable } from 'node:stream';
import { Command } from 'commander';
import type { Io } from '../../src/cli/io.js';
import { runWaive } from '../../src/cli/waive/waive-command.js';
import type { WaiveFlags } from '../../src/cli/waive/waive-flags.js';
import { addWaive } from '../../src/cli/waive/waive-options.js';

/** A day for tests to stand on. */
export const TODAY = '2031-05-01';

export interface WaiveRun {
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs `trysquare waive` by its flags on a fixed day; what is wrong is thrown. */
export async function runWaiveIn(
  cwd: string,
  report: string | undefined,
  flags: { readonly [K in keyof WaiveFlags]?: WaiveFlags[K] | undefined },
  stdin = '',
): Promise<WaiveRun> {
  const told = streams(cwd, stdin);
  const all = Object.entries({ why: 'a crank', by: 'prop room', ...flags });
  const whole: WaiveFlags = Object.fromEntries(all.filter(([, value]) => value !== undefined));
  const code = await runWaive(report, whole, told.io);
  return { code, ...told.texts() };
}

/** The same by the command line. */
export async function runWaiveLine(cwd: string, args: readonly string[]): Promise<WaiveRun> {
  const told = streams(cwd, '');
  let code = -1;
  const program = new Command('trysquare')
    .exitOverride()
    .configureOutput({ writeOut: () => undefined, writeErr: () => undefined });
  addWaive(program, told.io, (result) => {
    code = result;
  });
  await program.parseAsync(['waive', ...args], { from: 'user' });
  return { code, ...told.texts() };
}

function streams(cwd: string, stdin: string): { io: Io; texts: () => Omit<WaiveRun, 'code'> } {
  const [stdout, stderr] = [new PassThrough(), new PassThrough()];
  const rest = {
    columns: null,
    progress: false,
    progressColumns: 80,
    colour: false,
    worker: null,
    pageScript: null,
  };
  const clock = (): Date => new Date(`${TODAY}T12:00:00Z`);
  const onStop = (): (() => void) => () => undefined;
  const written = { stdout: '', stderr: '' };
  // Read as it comes: a stream that nobody reads takes no more.
  stdout.on('data', (part) => {
    written.stdout += String(part);
  });
  stderr.on('data', (part) => {
    written.stderr += String(part);
  });
  return {
    io: { stdin: Readable.from([Buffer.from(stdin)]), stdout, stderr, cwd, clock, onStop, ...rest },
    texts: () => written,
  };
}
