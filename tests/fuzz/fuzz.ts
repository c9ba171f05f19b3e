import { fork } from 'node:child_process';
import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { MOST_GROWTH_BYTES, MOST_MILLISECONDS } from './judge.js';
import { EXTERNAL_NAME, mutantAt } from './mutant.js';
import type { Told } from './run-range.js';
import { seedAssets } from './seed-assets.js';

// npm run fuzz -- [--seed N] [--count N] [--from N]
// Judges mutated assets in a process of its own, with little memory, which is watched: one that
// dies or stands still is a fault of the mutant it was at, and the run goes on with the next.

/** MiB of heap that the judging process is given. */
const HEAP_MEBIBYTES = 512;
/** Most memory that the judging process may ever take, its code and its decoders included. */
const MOST_PEAK_BYTES = 1024 * 2 ** 20;
/** Most that what cannot be collected may grow by from the first weighing to the last. */
const MOST_KEPT_BYTES = 64 * 2 ** 20;
/** A mutant at which nothing happens for so long will not end. */
const STILL_MILLISECONDS = 60_000;

const { values } = parseArgs({
  options: {
    seed: { type: 'string', default: '20250117' },
    count: { type: 'string', default: '10000' },
    from: { type: 'string', default: '0' },
  },
});
const [seed, from] = [Number(values.seed), Number(values.from)];
const to = from + Number(values.count);
if (![seed, from, to].every(Number.isSafeInteger))
  throw new Error('--seed, --count and --from take whole numbers');

const counts = new Map<string, number>();
const failed: number[] = [];
let slowest = { milliseconds: 0, index: -1 };
let largest = { growthBytes: 0, index: -1 };
let peakBytes = 0;
let kept: number[] = [];
let keptGrowth = 0;

/** Tells of a failing mutant at once: a long run may be cut short. */
function fail(index: number, recipe: string, faults: readonly string[]): void {
  failed.push(index);
  console.log(`mutant ${index} (--seed ${seed} --from ${index} --count 1): ${recipe}`);
  for (const fault of faults) console.log(`  ${fault}`);
}

function note(told: Told): void {
  counts.set(told.verdict, (counts.get(told.verdict) ?? 0) + 1);
  if (told.milliseconds > slowest.milliseconds) slowest = told;
  if (told.growthBytes > largest.growthBytes) largest = told;
  peakBytes = Math.max(peakBytes, told.peakBytes);
  if (told.keptBytes !== null) kept.push(told.keptBytes);
  keptGrowth = (kept.at(-1) ?? 0) - (kept[0] ?? 0);
  if (told.faults.length > 0) fail(told.index, told.recipe, told.faults);
  if ((told.index + 1) % 500 === 0) console.log(`${told.index + 1 - from} of ${to - from}`);
}

/** Judges from `start` on; gives the index of the first mutant that was not judged. */
function runFrom(start: number): Promise<{ next: number; why: string | null }> {
  return new Promise((done) => {
    kept = [];
    let next = start;
    let why: string | null = null;
    const path = fileURLToPath(new URL('./run-range.ts', import.meta.url));
    const child = fork(path, [seed, start, to].map(String), {
      execArgv: [...process.execArgv, `--max-old-space-size=${HEAP_MEBIBYTES}`, '--expose-gc'],
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
      next = told.index + 1;
      note(told);
    });
    child.on('close', (code, signal) => {
      clearTimeout(watch);
      if (next < to) why ??= `the process ends with ${signal ?? `code ${code}`}`;
      done({ next, why });
    });
  });
}

for (let at = from; at < to; ) {
  const { next, why } = await runFrom(at);
  if (why !== null) fail(next, mutantAt(await seedAssets(), seed, next).recipe, [why]);
  at = why === null ? to : next + 1;
}

const mebibytes = (bytes: number): string => `${(bytes / 2 ** 20).toFixed(0)} MiB`;
console.log(`seed ${seed}, mutants ${from} to ${to - 1}`);
for (const verdict of ['sound', 'unsound', 'unreadable', 'thrown'])
  console.log(`  ${verdict}: ${counts.get(verdict) ?? 0}`);
console.log(
  `  slowest: ${slowest.milliseconds.toFixed(0)} ms, mutant ${slowest.index} (limit ${MOST_MILLISECONDS} ms)`,
);
console.log(
  `  largest growth: ${mebibytes(largest.growthBytes)}, mutant ${largest.index} (limit ${mebibytes(MOST_GROWTH_BYTES)})`,
);
console.log(
  `  kept at the end: ${mebibytes(keptGrowth)} more (limit ${mebibytes(MOST_KEPT_BYTES)})`,
);
console.log(
  `  peak of the process: ${mebibytes(peakBytes)} (limit ${mebibytes(MOST_PEAK_BYTES)}, heap limit ${HEAP_MEBIBYTES} MiB)`,
);

if (failed.length > 0) {
  const seeds = await seedAssets();
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-mutants-'));
  for (const index of failed) {
    const mutant = mutantAt(seeds, seed, index);
    const own = join(folder, String(index));
    mkdirSync(own);
    writeFileSync(join(own, `mutant.${mutant.ending}`), mutant.main);
    if (mutant.external !== null) writeFileSync(join(own, EXTERNAL_NAME), mutant.external);
  }
  console.log(`${failed.length} failed; they are in ${folder}`);
}
const tooMuch = peakBytes > MOST_PEAK_BYTES || keptGrowth > MOST_KEPT_BYTES;
process.exitCode = failed.length > 0 || tooMuch ? 1 : 0;
