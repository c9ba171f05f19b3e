import { rmSync } from 'node:fs';
import type { TestProject } from 'vitest/node';
import type { Built } from './built.js';
import { packedCopy } from './source-copy.js';

declare module 'vitest' {
  interface ProvidedContext {
    readonly built: Built;
  }
}

/**
 * Packs the command once for all tests that run it, from a copy of the source: a clean clone has no
 * `dist`, and one that somebody uses must not change under them. A build takes 9 s of a core.
 */
export default function setUp({ provide }: TestProject): () => void {
  const built = packedCopy();
  provide('built', built);
  return () => rmSync(built.folder, { recursive: true, force: true });
}
