import { sha256 } from '../asset/crypto.js';
import { AssetError } from '../asset/errors.js';
import type { Guard } from '../asset/guard.js';
import { type ApprovedFiles, loadApproved } from '../check/load-approved.js';
import type { ApprovedAsset } from '../rig/types.js';
import { contentKey } from './content-key.js';

/** What an asset has to fit, as a worker is told. */
export interface ApprovedTask extends ApprovedFiles {
  /** Digest of the contents of all its files. */
  readonly digest: string;
}

/** With the digest of what the files hold now. Throws AssetError where one cannot be read. */
export async function approvedTask(files: ApprovedFiles): Promise<ApprovedTask> {
  const hash = sha256();
  for (const { path, name } of [files, ...files.clips]) {
    const key = await contentKey(path);
    if (key === null) {
      // Reading it says why.
      await loadApproved(files);
      throw new AssetError(`${name} changes while it is read`);
    }
    hash.update(JSON.stringify([name, key.all]));
  }
  if (files.clipsAlone === true) hash.update('clips alone');
  return { ...files, digest: hash.digest('hex').slice(0, 32) };
}

/** A library has few approved assets, and a list is mostly checked folder by folder. */
const KEPT = 4;

const kept = new Map<string, Promise<ApprovedAsset>>();

/** Reads it once for many assets. Throws AssetError. */
export function readApproved(task: ApprovedTask, guard: Guard): Promise<ApprovedAsset> {
  const { digest, ...files } = task;
  const earlier = kept.get(digest);
  kept.delete(digest);
  const asset = earlier ?? loadApproved(files, guard);
  kept.set(digest, asset);
  const [oldest] = kept.keys();
  if (kept.size > KEPT && oldest !== undefined) kept.delete(oldest);
  // The next asset has time of its own to read it in.
  asset.catch(() => kept.delete(digest));
  return asset;
}
