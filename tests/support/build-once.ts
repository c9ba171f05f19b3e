import { renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import {
  BaseSequencer,
  type TestSequencerConstructor,
  type TestSpecification,
  type Vitest,
} from 'vitest/node';
import { BUILT, type Packing, packed, sourceCopy } from './source-copy.js';

declare module 'vitest' {
  interface ProvidedContext {
    /** The source copy that is packed. */
    readonly building: string;
  }
}

/**
 * The order of test files: those that need no build come first, and where others are to run, the build
 * goes on meanwhile. It takes 20 s of a core where `dist` is not of this source. Of each kind the longest come first.
 *
 * @param waiting Paths of the files that wait for the build.
 */
export function buildWhileOthersRun(waiting: readonly string[]): TestSequencerConstructor {
  const late = new Set(waiting);
  return class extends BaseSequencer {
    #isBuilding = false;

    override async sort(specs: TestSpecification[]): Promise<TestSpecification[]> {
      const sorted = await super.sort(specs);
      const isLate = ({ moduleId }: TestSpecification): boolean => late.has(moduleId);
      if (!this.#isBuilding && sorted.some(isLate)) {
        this.#isBuilding = true;
        buildOnce(this.ctx);
      }
      return [...sorted.filter((spec) => !isLate(spec)), ...sorted.filter(isLate)];
    }
  };
}

/**
 * Packs the command once for all tests that run it, from a copy of the source: a clean clone has no
 * `dist`, and one that somebody uses must not change under them.
 */
function buildOnce(vitest: Vitest): void {
  const folder = sourceCopy();
  const write = (packing: Packing): void => {
    const file = join(folder, BUILT);
    // Whoever waits for it must not read half of it.
    writeFileSync(`${file}.part`, JSON.stringify(packing));
    renameSync(`${file}.part`, file);
  };
  const packing = packed(folder).then(
    (built) => write({ built, failed: null }),
    (error: unknown) => write({ built: null, failed: String(error) }),
  );
  for (const project of vitest.projects) project.provide('building', folder);
  vitest.onClose(async () => {
    await packing;
    rmSync(folder, { recursive: true, force: true });
  });
}
