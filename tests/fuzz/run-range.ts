import { rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Judgement, judge } from './judge.js';
import { mutantAt } from './mutant.js';
import { seedAssets } from './seed-assets.js';

/** What the judging process tells of one mutant. */
export interface Told extends Judgement {
  readonly index: number;
  readonly recipe: string;
  /**
   * What is in use after everything that can be collected was; null when it was not collected. The
   * memory of WebAssembly is not in it: it never shrinks, and that of the one mesh encoder is as large as
   * the largest mesh made it. The peak of the process has a limit of its own.
   */
  readonly keptBytes: number | null;
  /** Most memory the process ever had. */
  readonly peakBytes: number;
}

/** What a judging process is to do. */
export interface Range {
  readonly seed: number;
  /** First mutant, the one after the last, and how many there are from one to the next. */
  readonly from: number;
  readonly to: number;
  readonly step: number;
  /** Folder of rigs that mutants are made of, too. */
  readonly rigs: string | null;
}

/** After this many mutants everything that can be is collected, and the rest is weighed. */
const WEIGH_EVERY = 250;

// Whoever started it may have been stopped, and nobody would hear of what it does.
process.once('disconnect', () => process.exit());

// Judges mutants of a seed, and tells the parent process of each.
const [argument] = process.argv.slice(2);
if (argument === undefined || process.send === undefined)
  throw new Error('run-range is started by fuzz.ts');
// `judging-process.ts` hands over nothing else.
const { seed, from, to, step, rigs } = JSON.parse(argument) as Range;

const seeds = await seedAssets(rigs);
// All at once, or what is kept of them would look like something that mutants leave behind.
for (const source of seeds) source();
const folder = join(tmpdir(), `trysquare-fuzz-${process.pid}`);
let judged = 0;
for (let index = from; index < to; index += step) {
  const mutant = mutantAt(seeds, seed, index);
  const judgement = await judge(mutant, folder);
  judged++;
  const weighed = judged % WEIGH_EVERY === 0;
  if (weighed) {
    // Twice, with a turn between: memory of decoders goes after the objects that held it.
    globalThis.gc?.();
    await new Promise((turn) => setImmediate(turn));
    globalThis.gc?.();
  }
  const { heapUsed, arrayBuffers } = process.memoryUsage();
  const told: Told = {
    ...judgement,
    index,
    recipe: mutant.recipe,
    keptBytes: weighed && globalThis.gc !== undefined ? heapUsed + arrayBuffers : null,
    peakBytes: 1024 * process.resourceUsage().maxRSS,
  };
  await new Promise((done) => process.send?.(told, done));
}
rmSync(folder, { recursive: true, force: true });
process.disconnect();
