import { fork } from 'node:child_process';
import { rmSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import type { Range, Told } from './run-range.js';

/** MiB of heap that a judging process is given. */
export const HEAP_MEBIBYTES = 512;

/** A mutant at which nothing happens for so long will not end, on however busy a machine. */
const STILL_MILLISECONDS = 240_000;

/** Where a judging process came to. */
interface Ended {
  /** The first mutant that was not judged. */
  readonly next: number;
  /** Why it was not, null where all were. */
  readonly why: string | null;
}

/**
 * Bundles what a judging process runs. Users run bundled code; what compiles sources as they are loaded
 * names every function again whenever it is made, and a mend took four times as long with it.
 *
 * @returns The file, where packages are found from it; it goes when this process ends.
 */
export async function bundleJudge(): Promise<string> {
  const outfile = fileURLToPath(
    new URL(`../../node_modules/.cache/trysquare/judge-${process.pid}.mjs`, import.meta.url),
  );
  await build({
    entryPoints: [fileURLToPath(new URL('./run-range.ts', import.meta.url))],
    bundle: true,
    format: 'esm',
    platform: 'node',
    packages: 'external',
    outfile,
    logLevel: 'warning',
  });
  process.once('exit', () => rmSync(outfile, { force: true }));
  return outfile;
}

/** Judges mutants in a process of its own, with little memory, which is watched and ended when it stands still. */
function judgeRange(judge: string, range: Range, tell: (told: Told) => void): Promise<Ended> {
  return new Promise((done) => {
    let next = range.from;
    let why: string | null = null;
    const child = fork(judge, [JSON.stringify(range)], {
      execArgv: [`--max-old-space-size=${HEAP_MEBIBYTES}`, '--expose-gc'],
    });
    const stop = (): void => {
      why = `nothing happens for ${STILL_MILLISECONDS / 1000} s`;
      child.kill('SIGKILL');
    };
    let watch = setTimeout(stop, STILL_MILLISECONDS);
    // `run-range.ts` sends nothing else.
    child.on('message', (message) => {
      const told = message as Told;
      clearTimeout(watch);
      watch = setTimeout(stop, STILL_MILLISECONDS);
      next = told.index + range.step;
      tell(told);
    });
    child.on('close', (code, signal) => {
      clearTimeout(watch);
      if (next < range.to) why ??= `the process ends with ${signal ?? `code ${code}`}`;
      done({ next, why });
    });
  });
}

/** Judges all of a range: a mutant that ends the process is told of, and the next is gone on with. */
export async function judgeAll(
  judge: string,
  range: Range,
  tell: (told: Told) => void,
  lost: (index: number, why: string) => void,
): Promise<void> {
  for (let from = range.from; from < range.to; ) {
    const { next, why } = await judgeRange(judge, { ...range, from }, tell);
    if (why !== null) lost(next, why);
    from = why === null ? range.to : next + range.step;
  }
}
