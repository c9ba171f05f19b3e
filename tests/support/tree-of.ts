import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/**
 * The SHA-256 of each file below a folder, by its path in it. Digests, since to compare the bytes of a
 * rig number by number takes longer than to mend it.
 */
export function treeOf(folder: string): Readonly<Record<string, string>> {
  if (!existsSync(folder)) return {};
  const files = readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name));
  return Object.fromEntries(
    files.sort().map((path) => [path.slice(folder.length + 1), digestOf(readFileSync(path))]),
  );
}

/** The SHA-256 of some bytes. */
export function digestOf(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}
