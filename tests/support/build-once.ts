import { renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { TestProject } from 'vitest/node';
import { BUILT, type Packing, packed, sourceCopy } from './source-copy.js';

declare module 'vitest' {
  interface ProvidedContext {
    /** The source copy that is packed. */
    readonly building: string;
  }
}

/**
 * Packs the command once for all tests that run it, from a copy of the source: a clean clone has no
 * `dist`, and one that somebody uses must not change under them. A build takes 9 s of a core, in
 * which the tests that need none go ahead.
 */
export default function setUp({ provide }: TestProject): () => Promise<void> {
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
  provide('building', folder);
  return async () => {
    await packing;
    rmSync(folder, { recursive: true, force: true });
  };
}
