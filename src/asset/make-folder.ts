import { mkdirSync, statSync } from 'node:fs';
import { dirname } from 'node:path';

/**
 * Makes a folder and those above it, which may be there. Throws what the system says. One by one: where
 * nothing can be made in a folder that is there, some systems say that it is not (Linux, below /proc), and
 * Node's own way goes on trying for ever.
 */
export function makeFolderAt(path: string): void {
  if (isFolder(path)) return;
  const above = dirname(path);
  if (above !== path) makeFolderAt(above);
  try {
    mkdirSync(path);
  } catch (error) {
    // Another run may have made it meanwhile.
    if (!isFolder(path)) throw error;
  }
}

function isFolder(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false })?.isDirectory() === true;
}
