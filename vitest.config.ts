import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { globSync } from 'tinyglobby';
import { defineConfig } from 'vitest/config';

const here = new URL('.', import.meta.url);

/** Runs processes or a browser: what most of their time goes to is outside of the test's own process. */
const OUTSIDE = /'node:child_process'|support\/(?:browser|built|ci-machine|action-runner)\.js'/;

/** Puts other code in place of a module, which every test after it in the same process would meet. */
const REPLACES = /\bvi\.(?:mock|doMock|stubGlobal|stubEnv)\(/;

type Kind = 'pure' | 'replacing' | 'outside';

/** Test files by what they hold, so that no list of them has to be kept. */
const files = globSync('tests/**/*.test.ts', { cwd: here }).map((file) => ({
  file,
  kind: kindOf(file),
}));
const ofKind = (kind: Kind): string[] =>
  files.filter((one) => one.kind === kind).map(({ file }) => file);

function kindOf(file: string): Kind {
  const text = readFileSync(new URL(file, here), 'utf8');
  if (REPLACES.test(text)) return 'replacing';
  return OUTSIDE.test(text) ? 'outside' : 'pure';
}

export default defineConfig({
  test: {
    testTimeout: 30_000,
    hookTimeout: 60_000,
    // Vitest itself leaves a core free, which on two of them leaves one.
    maxWorkers: availableParallelism(),
    // One group after the other: a process is used again only where the next file is of its project.
    projects: [
      {
        extends: true,
        // Most of what each file takes alone is loading what all of them load, a third of their time.
        test: { name: 'pure', include: ofKind('pure'), isolate: false },
      },
      {
        extends: true,
        test: { name: 'replacing', include: ofKind('replacing'), sequence: { groupOrder: 1 } },
      },
      {
        extends: true,
        test: {
          name: 'outside',
          include: ofKind('outside'),
          isolate: false,
          globalSetup: 'tests/support/build-once.ts',
          sequence: { groupOrder: 1 },
        },
      },
    ],
  },
});
