import { existsSync, realpathSync } from 'node:fs';
import { dirname, isAbsolute, join, relative } from 'node:path';
import { findUpward } from '../house/find-upward.js';
import type { HouseFileKind } from '../house/schema-line.js';
import { slashes } from '../report/slashes.js';

/**
 * Where a file in `folder` finds its schema, as a relative path that holds for everybody who has the
 * same repository: in the package as it is installed there, or in the clone that runs. Null where it
 * lies elsewhere, as it does for a command that is installed for the whole machine: a path from there
 * would hold on that machine alone. `dist` is the folder that the command was built into, if it was.
 */
export function schemaPlace(
  folder: string,
  kind: HouseFileKind,
  dist: string | null,
): string | null {
  const name = `${kind}.schema.json`;
  const from = existsSync(folder) ? realpathSync(folder) : folder;
  const repository = findUpward(from, '.git');
  const root = repository === null ? null : dirname(repository);
  const installed = findUpward(from, join('node_modules', 'trysquare', 'dist', name));
  if (installed !== null && (root === null || isIn(root, installed)))
    return relativePath(from, installed);
  if (dist === null) return null;
  const built = join(dist, name);
  // A package manager's store is laid out anew with every version.
  const isStored = /(^|[\\/])node_modules[\\/]/.test(relative(root ?? from, built));
  const isUsable = existsSync(built) && isIn(root ?? from, built) && !isStored;
  return isUsable ? relativePath(from, built) : null;
}

function isIn(folder: string, path: string): boolean {
  const inner = relative(folder, path);
  return !isAbsolute(inner) && !/^\.\.(?:[\\/]|$)/.test(inner);
}

function relativePath(from: string, to: string): string {
  const path = slashes(relative(from, to));
  return path.startsWith('../') ? path : `./${path}`;
}
