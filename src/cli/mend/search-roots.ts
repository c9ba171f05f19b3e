import { statSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { isPattern } from '../paths/find-assets.js';
import { isWithin } from '../paths/link-end.js';

/**
 * Tells from which folder on the place of an asset is kept in the folder that all are written to: the
 * outermost that was searched for it, be it named or the fixed beginning of a pattern; of a file that was
 * named itself, its own.
 */
export function rootsOf(paths: readonly string[], cwd: string): (path: string) => string {
  const roots = [...new Set(paths.flatMap((path) => searchRoot(path, cwd) ?? []))];
  // The outermost has the shortest path of those that contain an asset.
  roots.sort((a, b) => a.length - b.length);
  return (path) => roots.find((root) => isWithin(path, root)) ?? dirname(path);
}

/** The folder that a path has searched; null for a file. */
function searchRoot(path: string, cwd: string): string | null {
  const full = resolve(cwd, path);
  const stats = statSync(full, { throwIfNoEntry: false });
  if (stats !== undefined) return stats.isDirectory() ? full : null;
  if (!isPattern(path)) return null;
  const names = path.split(/[\\/]/);
  const fixed = names.slice(0, names.findIndex(isPattern)).join('/');
  return resolve(cwd, fixed || (path.startsWith('/') ? '/' : '.'));
}
