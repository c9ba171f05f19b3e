import { join, relative, resolve } from 'node:path';
import type { Entry } from '../../grade/list-entries.js';
import { slashes } from '../../report/slashes.js';
import { type FoundAsset, findAssets } from '../paths/find-assets.js';

/** A submission and what of it is to be checked. */
export interface Submission {
  readonly name: string;
  readonly list: readonly FoundAsset[];
  /** Why there is nothing to check. */
  readonly reason: string | null;
}

const UNSEARCHED = 'its path has a backslash and cannot be searched; give the folder another name';

/** Assets are called by their path in the class's folder, which is what a student knows. */
export async function openEntry(entry: Entry, from: string): Promise<Submission> {
  const { name } = entry;
  if (entry.kind === 'other') return { name, list: [], reason: entry.reason };
  const path = join(from, name);
  if (entry.kind === 'asset')
    return { name, list: [{ kind: 'file', path, shown: name }], reason: null };
  // The search takes a backslash for a slash, wherever it runs: it would look into another's folder.
  if (process.platform !== 'win32' && path.includes('\\'))
    return { name, list: [], reason: UNSEARCHED };
  const found = await findAssets([path], from);
  const list = found.map((asset): FoundAsset => {
    const inside = relative(from, asset.kind === 'file' ? asset.path : resolve(from, asset.shown));
    return { ...asset, shown: slashes(inside) };
  });
  const [only] = list;
  // An empty folder is no asset that could not be read.
  if (list.length === 1 && only?.kind === 'nothing' && only.shown === name)
    return { name, list: [], reason: only.reason };
  return { name, list, reason: null };
}
