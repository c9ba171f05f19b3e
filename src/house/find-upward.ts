import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';

/** The nearest file called `name` in `folder` or any folder above it; null when there is none. */
export function findUpward(folder: string, name: string): string | null {
  const path = join(folder, name);
  if (existsSync(path)) return path;
  const above = dirname(folder);
  return above === folder ? null : findUpward(above, name);
}
