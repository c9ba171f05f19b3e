import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { globSync } from 'tinyglobby';
import { defineConfig } from 'vitest/config';
import { buildWhileOthersRun } from './tests/support/build-once.js';

const here = new URL('.', import.meta.url);

/** Runs processes or a browser: what most of their time goes to is outside of the test's own process. */
const OUTSIDE =
  /'node:child_process'|support\/(?:browser|built|ci-machine|action-runner|spreadsheet)\.js'/;

/** Puts other code in place of a module, which every test after it in the same process would meet. */
const REPLACES = /\bvi\.(?:mock|doMock|stubGlobal|stubEnv)\(/;

type Kind = 'pure' | 'replacing' | 'outside';

/** Test files by what they hold, so that no list of them has to be kept. */
const files = globSync('tests/**/*.test.ts', { cwd: here, absolute: true }).map((file) => ({
  file,
  kind: kindOf(file),
}));
const ofKind = (kind: Kind): string[] =>
  files.filter((one) => one.kind === kind).map(({ file }) => file);

function kindOf(file: string): Kind {
  const text = readFileSync(file, 'utf8');
  if (REPLACES.test(text)) return 'replacing';
  return OUTSIDE.test(text) ? 'outside' : 'pure';
}

/** `--project pure` asks for what needs no build and no browser. */
const pureAlone = /--project[= ]pure\b/.test(process.argv.join(' '));

export default defineConfig({
  test: {
    testTimeout: 30_000,
    hookTimeout: 60_000,
    // Vitest itself leaves a core free, which on two of them leaves one.
    maxWorkers: availableParallelism(),
    // MiB. Most of what tests make is thrown away at once; with this much room for it a check takes a sixth
    // less of the processor.
    execArgv: ['--max-semi-space-size=64'],
    sequence: { sequencer: buildWhileOthersRun(ofKind('outside')) },
    projects: [
      {
        extends: true,
        test: {
          // Most of what each file takes alone is loading what all of them load, a third of their time.
          isolate: false,
          // In two projects the second would load all of it again: a process is used again only where
          // the next file is of its project.
          ...(pureAlone
            ? { name: 'pure', include: ofKind('pure') }
            : { name: 'shared', include: [...ofKind('pure'), ...ofKind('outside')] }),
        },
      },
      {
        extends: true,
        test: { name: 'replacing', include: ofKind('replacing'), sequence: { groupOrder: 1 } },
      },
    ],
  },
});
