import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';

/** The nearest file called `name` in `folder` or any folder above it; null when there is none. */
export function findUpward(folder: string, name: string): string | null {
  for (let at = folder; ; at = dirname(at)) {
    const path = join(at, name);
    if (existsSync(path)) return path;
    if (dirname(at) === at) return null;
  }
}
