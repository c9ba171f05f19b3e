import type { Io } from '../io.js';
import { isMany } from './is-many.js';
import type { MendFlags } from './mend-flags.js';

/** `trysquare mend`: mends assets, proves that nothing visible changed, and writes them. Returns the exit code. */
export async function runMend(paths: readonly string[], flags: MendFlags, io: Io): Promise<number> {
  const [file] = paths;
  if (file !== undefined && !isMany(paths, flags, io)) {
    const { mendAlone } = await import('./mend-alone.js');
    return mendAlone(file, flags, io);
  }
  const { mendMany } = await import('./mend-many.js');
  return mendMany(paths, flags, io);
}
