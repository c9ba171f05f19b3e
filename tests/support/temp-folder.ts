import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { onTestFinished } from 'vitest';

/**
 * A folder of its own for one test, with the given files in it; gone when the test is done.
 *
 * @param finished What a test that runs beside others is handed, since it alone knows whose end is meant.
 */
export function tempFolder(
  files: Readonly<Record<string, string | Uint8Array>> = {},
  finished: (then: () => void) => void = onTestFinished,
): string {
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-'));
  finished(() => rmSync(folder, { recursive: true, force: true }));
  writeFiles(folder, files);
  return folder;
}

/** Writes files into a folder, and the folders that they stand in. */
export function writeFiles(
  folder: string,
  files: Readonly<Record<string, string | Uint8Array>>,
): void {
  for (const [name, content] of Object.entries(files)) {
    mkdirSync(dirname(join(folder, name)), { recursive: true });
    writeFileSync(join(folder, name), content);
  }
}
