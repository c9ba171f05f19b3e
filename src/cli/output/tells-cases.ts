import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { PartFile } from '../../batch/part-file.js';

/**
 * Whether the disk tells names apart that differ in case alone, in a folder that may not be there yet.
 * That is tried out with a file of a moment: neither the system nor the disk as a whole decides it, since
 * some set it by the folder. False where nothing can be written.
 */
export function tellsCases(folder: string): boolean {
  let at = folder;
  while (!existsSync(at) && dirname(at) !== at) at = dirname(at);
  try {
    const part = new PartFile(join(at, 'case'));
    try {
      return !part.isFoundInCapitals();
    } finally {
      part.discard();
    }
  } catch {
    return false;
  }
}
