import { statSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Io } from '../io.js';
import { isPattern } from '../paths/find-assets.js';
import type { MendFlags } from './mend-flags.js';

/** Whether a mend is of a list of assets: a folder, a pattern, several paths, or into a folder. */
export function isMany(
  paths: readonly string[],
  { outDir, part }: MendFlags,
  { cwd }: Pick<Io, 'cwd'>,
): boolean {
  const [path = '-'] = paths;
  if (paths.length > 1 || outDir !== undefined || part !== undefined) return true;
  if (path === '-') return false;
  try {
    const stats = statSync(resolve(cwd, path), { throwIfNoEntry: false });
    return stats === undefined ? isPattern(path) : stats.isDirectory();
  } catch {
    // Why it cannot be looked at is reported when it is read.
    return false;
  }
}
