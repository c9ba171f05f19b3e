import { dirname } from 'node:path';
import type { Readable, Writable } from 'node:stream';
import { pathToFileURL } from 'node:url';
import type { LoadedModule } from '../check/own-rules.js';
import { workingFolder } from './paths/working-folder.js';

/** Everything a run touches outside itself, so that a test can hand in its own. */
export interface Io {
  readonly stdin: Readable;
  readonly stdout: Writable;
  readonly stderr: Writable;
  /** Throws MachineError where it is gone. */
  readonly cwd: string;
  /** Columns of the terminal that standard output goes to; null for a pipe or file. */
  readonly columns: number | null;
  /** Whether standard error is a terminal that a progress line can be drawn on. */
  readonly progress: boolean;
  /** Columns of that terminal. */
  readonly progressColumns: number;
  /** Whether the terminal and its user want colour, before any option. */
  readonly colour: boolean;
  /** The script that worker processes run; null where there is none, and all runs in this thread. */
  readonly worker: string | null;
  /** Path of the script of a report's page; null where it was not built. */
  readonly pageScript: string | null;
  /**
   * Imports the ES module at an absolute path. Throws what the module throws, and Error when it is not
   * loaded within so many seconds. Absent where `importAlone` will do.
   */
  readonly loadModule?: (path: string, seconds: number) => Promise<LoadedModule>;
  clock(): Date;
  /** Calls `stop` when the user wants the run to end (Ctrl-C, or a stop by a build server); gives back how to stop listening. */
  onStop(stop: () => void): () => void;
}

/** Folder that the command was built into, with the schemas beside the script of a page; null where it was not. */
export function distOf({ pageScript }: Pick<Io, 'pageScript'>): string | null {
  return pageScript === null ? null : dirname(pageScript);
}

/** How a terminal, a build server or container, and a terminal that is closed end a run. */
const STOPS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

/** Imports a module where nothing else is asked of it: in a process that is no bundle. */
export async function importAlone(path: string): Promise<LoadedModule> {
  const exports: unknown = await import(pathToFileURL(path).href);
  // A module is an object of its exports.
  return { exports: exports as LoadedModule['exports'], files: [path] };
}

/** The process's own streams, with the paths of its scripts. */
export function processIo(
  worker: string | null = null,
  pageScript: string | null = null,
  loadModule: NonNullable<Io['loadModule']> = importAlone,
): Io {
  const { stdout, stderr, env } = process;
  const terminal = stdout.isTTY === true;
  let cwd: string | null = null;
  return {
    // Opened when it is read: that takes 1 ms.
    get stdin() {
      return process.stdin;
    },
    stdout,
    stderr,
    // Looked up when it is needed, so that a missing folder is reported as any other error is.
    get cwd() {
      cwd ??= workingFolder();
      return cwd;
    },
    columns: terminal ? (stdout.columns ?? 80) : null,
    progress: stderr.isTTY === true,
    progressColumns: stderr.columns ?? 80,
    colour: terminal && (env.NO_COLOR === undefined || env.NO_COLOR === '') && env.TERM !== 'dumb',
    worker,
    pageScript,
    loadModule,
    clock: () => new Date(),
    onStop(stop) {
      // The second time the process ends as it would without us.
      for (const signal of STOPS) process.once(signal, stop);
      return () => {
        for (const signal of STOPS) process.removeListener(signal, stop);
      };
    },
  };
}
