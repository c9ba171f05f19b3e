import { statSync } from 'node:fs';
import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import type { FoundAsset } from '../paths/find-assets.js';
import { isWithin } from '../paths/link-end.js';
import { realOf } from '../paths/real-of.js';
import type { MendFlags } from './mend-flags.js';

/** The folder that mended files go to. */
export interface OutDir {
  readonly path: string;
  /** As the user knows it. */
  readonly shown: string;
}

/** The folder that the options name; null for none. Throws UsageError where there is no place for it. */
export function outDirOf(
  paths: readonly string[],
  { outDir }: MendFlags,
  { cwd }: Pick<Io, 'cwd'>,
): OutDir | null {
  if (outDir === undefined) return null;
  const path = resolve(cwd, outDir);
  const refuse = (what: string): never => {
    throw new UsageError(`--out-dir names ${visible(outDir)}, which is ${what}`);
  };
  if (outDir === '-' || outDir === '') refuse('no folder; name a folder');
  if (isFolder(path) === false) refuse('a file; name a folder');
  const searched = paths.map((given) => resolve(cwd, given)).filter(isFolder);
  if (searched.some((folder) => realOf(folder) === realOf(path)))
    refuse('the folder that is searched; name another folder, or use --in-place');
  return { path, shown: outDir.replace(/(?<=.)[\\/]+$/, '') };
}

/** Null where nothing is there, or that cannot be found out: writing to it says why. */
function isFolder(path: string): boolean | null {
  try {
    return statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? null;
  } catch {
    return null;
  }
}

/**
 * What was found without the work of an earlier run: what lies in the folder that is written to, where
 * that folder lies in one that is searched. Throws UsageError where nothing is left.
 */
export function withoutOwn(
  found: readonly FoundAsset[],
  { path, shown }: OutDir,
  rootOf: (path: string) => string,
): readonly FoundAsset[] {
  const out = realOf(path);
  const left = found.filter((asset) => {
    if (asset.kind !== 'file' || !isWithin(realOf(asset.path), out)) return true;
    const root = realOf(rootOf(asset.path));
    return root === out || !isWithin(out, root);
  });
  if (left.length === 0)
    throw new UsageError(
      `all that was found lies in ${visible(shown)}, the folder of --out-dir; name another folder`,
    );
  return left;
}
