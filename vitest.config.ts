import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { globSync } from 'tinyglobby';
import { defineConfig } from 'vitest/config';
import { buildWhileOthersRun } from './tests/support/build-once.js';

const here = new URL('.', import.meta.url);

/** Waits for the build of a copy of the source. */
const WAITS = /support\/(?:built|ci-machine|action-runner)\.js'/;

/**
 * Runs other processes or a browser, or a loop that only a limit of time ends: what most of its time goes to
 * is outside of the tests' own work. So is what waits for the build.
 */
const BUILT =
  /'node:child_process'|support\/(?:browser|spreadsheet|source-imports|docs\/make-page)\.js'|batch\/(?:pool|time-guard)\.js'/;

/** Puts other code in place of a module, which every test after it in the same process would meet. */
const REPLACES = /\bvi\.(?:mock|doMock|stubGlobal|stubEnv)\(/;

type Kind = 'pure' | 'replacing' | 'built';

/** Test files by what they hold, so that no list of them has to be kept. */
const files = globSync('tests/**/*.test.ts', { cwd: here, absolute: true }).map((file) => {
  const text = readFileSync(file, 'utf8');
  return { file, kind: kindOf(text), waits: WAITS.test(text) };
});
const ofKind = (kind: Kind): string[] =>
  files.filter((one) => one.kind === kind).map(({ file }) => file);
const waiting = files.filter(({ waits }) => waits).map(({ file }) => file);

function kindOf(text: string): Kind {
  if (REPLACES.test(text)) return 'replacing';
  return BUILT.test(text) || WAITS.test(text) ? 'built' : 'pure';
}

export default defineConfig({
  test: {
    testTimeout: 30_000,
    hookTimeout: 60_000,
    // Vitest itself leaves a core free, which on two of them leaves one.
    maxWorkers: availableParallelism(),
    // MiB. Most of what tests make is thrown away at once; with this much room for it a check takes a sixth
    // less of the processor.
    execArgv: ['--max-semi-space-size=64'],
    sequence: { sequencer: buildWhileOthersRun(waiting) },
    projects: [
      // Most of what each file takes alone is loading what all of them load, a third of their time. One
      // project after the other, since a process is used again only where the next file is of its project.
      ...(['pure', 'built'] as const).map((name, groupOrder) => ({
        extends: true as const,
        test: { name, include: ofKind(name), isolate: false, sequence: { groupOrder } },
      })),
      {
        extends: true,
        test: { name: 'replacing', include: ofKind('replacing'), sequence: { groupOrder: 2 } },
      },
    ],
  },
});
