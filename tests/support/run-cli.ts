import { PassThrough, Readable } from 'node:stream';
import type { Io } from '../../src/cli/io.js';
import { main } from '../../src/cli/main.js';
import { loadFromSource } from './own-modules.js';

export interface CliRun {
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

export interface CliSetting {
  readonly cwd: string;
  readonly stdin?: Uint8Array;
  readonly columns?: number | null;
  readonly colour?: boolean;
  /** Where the script of a page would lie in a build. */
  readonly pageScript?: string;
  /** The script that worker processes run; without it all runs in this process. */
  readonly worker?: string;
  /** How modules of the house's own are imported; with the library of the source when absent. */
  readonly loadModule?: Io['loadModule'];
  /** The time; now when absent. */
  readonly now?: Date;
  /** Is handed what Ctrl-C would call. */
  readonly onStop?: (stop: () => void) => void;
  /** Is called as something is written to standard output, before the command goes on. */
  readonly onOutput?: () => void;
}

/** Runs the command line in this process with streams of its own. */
export async function runCli(args: readonly string[], setting: CliSetting): Promise<CliRun> {
  const stdout = new PassThrough({
    transform(part, _, done) {
      setting.onOutput?.();
      done(null, part);
    },
  });
  const stderr = new PassThrough();
  const texts = [collect(stdout), collect(stderr)];
  const code = await main(['node', 'trysquare', ...args], {
    stdin: Readable.from([setting.stdin ?? new Uint8Array()]),
    stdout,
    stderr,
    cwd: setting.cwd,
    columns: setting.columns ?? null,
    progress: false,
    progressColumns: 80,
    colour: setting.colour ?? false,
    worker: setting.worker ?? null,
    pageScript: setting.pageScript ?? null,
    loadModule: setting.loadModule ?? loadFromSource,
    clock: () => setting.now ?? new Date(),
    onStop: (stop) => {
      setting.onStop?.(stop);
      return () => undefined;
    },
  });
  stdout.end();
  stderr.end();
  // Loaded by those that grade alone.
  if (args[0] === 'grade') (await import('./valid-grades.js')).expectValidGrades(setting.cwd, args);
  const [out = '', err = ''] = await Promise.all(texts);
  return { code, stdout: out, stderr: err };
}

async function collect(stream: PassThrough): Promise<string> {
  let text = '';
  for await (const part of stream) text += String(part);
  return text;
}
