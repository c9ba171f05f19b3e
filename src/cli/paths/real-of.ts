import { realpathSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';

/** The real path of what may not be there yet: links in the part that is there are followed. */
export function realOf(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    const above = dirname(path);
    return above === path ? path : join(realOf(above), basename(path));
  }
}
