import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { bundleJudge, judgeAll } from './judging-process.js';
import { EXTERNAL_NAME, mutantAt } from './mutant.js';
import type { Told } from './run-range.js';
import { seedAssets } from './seed-assets.js';
import { isSlowOnly } from './step.js';
import { Tally } from './tally.js';

// npm run fuzz -- [--seed N] [--count N] [--from N] [--workers N] [--rigs FOLDER]
// Takes mutated assets through check, draw, page, grade and mend, in processes of their own: one that
// dies or stands still is a fault of the mutant it was at, and the run goes on with the next. A run
// that was stopped says where the next can begin.

const { values } = parseArgs({
  options: {
    seed: { type: 'string', default: '20250117' },
    count: { type: 'string', default: '10000' },
    from: { type: 'string', default: '0' },
    workers: { type: 'string', default: '2' },
    rigs: { type: 'string' },
  },
});
const [seed, from, workers] = [values.seed, values.from, values.workers].map(Number);
const to = Number(from) + Number(values.count);
if (seed === undefined || from === undefined || workers === undefined)
  throw new Error('nothing says where to begin');
if (![seed, from, to, workers].every(Number.isSafeInteger) || workers < 1)
  throw new Error('--seed, --count, --from and --workers take whole numbers');
const rigs = values.rigs === undefined ? null : resolve(values.rigs);
const withRigs = rigs === null ? '' : ` --rigs ${rigs}`;

const tally = new Tally();
const failed: number[] = [];
/** The first mutant of each lane that is not judged yet. */
const next = Array.from({ length: workers }, (_, lane) => from + lane);
const seeds = await seedAssets(rigs);

/** Tells of a failing mutant at once: a long run may be cut short. */
function fail(index: number, recipe: string, faults: readonly string[]): void {
  failed.push(index);
  console.log(`mutant ${index} (--seed ${seed} --from ${index} --count 1${withRigs}): ${recipe}`);
  for (const fault of faults) console.log(`  ${fault}`);
}

/** Mutants that were only too slow, while other lanes had a share of the same core. */
const slow: number[] = [];

function take(told: Told, at: number): void {
  tally.add(told, at);
  if (told.faults.length > 0) fail(told.index, told.recipe, told.faults);
}

const judge = await bundleJudge();
const lane = (at: number): Promise<void> =>
  judgeAll(
    judge,
    { seed, from: from + at, to, step: workers, rigs },
    (told) => {
      next[at] = told.index + workers;
      if (workers > 1 && isSlowOnly(told)) slow.push(told.index);
      else take(told, at);
      if (tally.judged % 500 === 0)
        console.log(`${tally.judged} of ${to - from}; all before ${Math.min(...next)} are done`);
    },
    (index, why) => {
      fail(index, mutantAt(seeds, seed, index).recipe, [why]);
      next[at] = index + workers;
      tally.forgetKept(at);
    },
  );

process.once('SIGINT', () => {
  summary();
  console.log(`stopped; go on with --seed ${seed} --from ${Math.min(...next)}${withRigs}`);
  process.exit(1);
});

function summary(): void {
  console.log(`seed ${seed}, mutants ${from} to ${to - 1}, ${tally.judged} judged`);
  for (const line of tally.lines()) console.log(line);
}

await Promise.all(next.map((_, at) => lane(at)));
// Alone, since the threads of one core slow each other by a third.
for (const index of slow.sort((a, b) => a - b)) {
  console.log(`mutant ${index} is judged again, alone`);
  await judgeAll(
    judge,
    { seed, from: index, to: index + 1, step: 1, rigs },
    (told) => take(told, workers),
    (lost, why) => fail(lost, mutantAt(seeds, seed, lost).recipe, [why]),
  );
}
summary();

if (failed.length > 0) {
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
process.exitCode = failed.length > 0 || tally.isTooMuch() ? 1 : 0;
