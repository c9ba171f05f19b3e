import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';

/** The name a standard is looked for under. */
export const STANDARD_NAME = 'trysquare.json';

/** The nearest standard in `folder` or any folder above it; null when there is none. */
export function findStandard(folder: string): string | null {
  for (let at = folder; ; at = dirname(at)) {
    const path = join(at, STANDARD_NAME);
    if (existsSync(path)) return path;
    if (dirname(at) === at) return null;
  }
}
