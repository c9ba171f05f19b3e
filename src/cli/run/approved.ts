import { statSync } from 'node:fs';
import { relative, resolve } from 'node:path';
import { sha256 } from '../../asset/crypto.js';
import { AssetError, UsageError } from '../../asset/errors.js';
import { type ApprovedTask, approvedTask, readApproved } from '../../batch/approved-task.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import { timeGuard } from '../../batch/time-guard.js';
import type { ApprovedFiles, NamedFile } from '../../check/load-approved.js';
import { slashes } from '../../report/slashes.js';
import { visible } from '../../report/visible.js';
import { type ApprovedPattern, approvedFor } from '../../standard/approved-patterns.js';
import { type FoundAsset, findAssets, isPattern } from '../paths/find-assets.js';
import type { HeldToOf } from './held-to.js';

/**
 * The files of an approved asset and of the clips that were made for it. Throws UsageError for a path
 * at which there is nothing.
 */
export async function approvedFiles(
  path: string,
  clips: readonly string[],
  cwd: string,
): Promise<ApprovedFiles> {
  if (path === '-')
    throw new UsageError('the approved asset is not read from standard input; name a file');
  const found = clips.length === 0 ? [] : await findAssets(clips, cwd);
  const files = found.map((asset): NamedFile => {
    if (asset.kind === 'file') return { path: asset.path, name: asset.shown };
    const why = asset.kind === 'nothing' ? asset.reason : 'clips are not read from standard input';
    throw new UsageError(`--clips ${visible(asset.shown)}: ${why}`);
  });
  const full = resolve(cwd, path);
  const stats = statSync(full, { throwIfNoEntry: false });
  if (stats?.isDirectory() === true)
    throw new UsageError(`the approved asset ${visible(path)} is a folder; name a file in it`);
  if (stats === undefined && isPattern(path))
    throw new UsageError(`the approved asset ${visible(path)} is a pattern; name one file`);
  // An approved rig that lies among its own clips is not read twice.
  const others = files.filter((file) => file.path !== full);
  return { path: full, name: slashes(path), clips: others };
}

/**
 * Reads what assets have to fit before the first of them is. Throws UsageError when it cannot be read,
 * or has neither a rig to compare with nor a clip.
 *
 * @param of Whose mistake that would be: `the standard house.json`.
 */
export async function openApproved(
  files: ApprovedFiles,
  of: string | null = null,
): Promise<ApprovedTask> {
  const lead = of === null ? '' : `${of}: `;
  const fail = (fault: string): never => {
    throw new UsageError(`${lead}${fault}`);
  };
  try {
    const task = await approvedTask(files);
    const { model, clips } = await readApproved(task, timeGuard(DEFAULT_LIMITS.seconds));
    if (model.rigs.length === 0)
      return fail(`the approved asset ${visible(files.name)} has no rig: nothing in it has a skin`);
    const silent = files.clips.find(({ name }) => !clips.some((source) => source.name === name));
    if (silent !== undefined) return fail(`--clips ${visible(silent.name)}: the file has no clip`);
    return task;
  } catch (error) {
    if (error instanceof AssetError) return fail(visible(withPlace(error)));
    throw error;
  }
}

function withPlace({ reason, where }: AssetError): string {
  return where === null ? reason : `${reason} (${where})`;
}

/** What the assets of a run have to fit. */
export interface Comparing {
  /** Digest of all of it; null for nothing. */
  readonly compared: string | null;
  readonly approvedOf: (asset: FoundAsset) => ApprovedTask | null;
}

/**
 * Opens the approved assets that standards name for what was found, once each. Throws UsageError where
 * one of them is missing or cannot be read: that is a mistake of the standard.
 */
export async function compareByStandard(
  found: readonly FoundAsset[],
  heldToOf: HeldToOf,
  cwd: string,
): Promise<Comparing> {
  const tasks = new Map<string, ApprovedTask>();
  const patternOf = (asset: FoundAsset): ApprovedPattern | null =>
    asset.kind === 'file' ? approvedFor(heldToOf(asset.path).approved, asset.path) : null;
  for (const asset of found) {
    const pattern = patternOf(asset);
    if (asset.kind !== 'file' || pattern === null || tasks.has(pattern.path)) continue;
    const files = { path: pattern.path, name: slashes(relative(cwd, pattern.path)), clips: [] };
    const by = `the standard ${visible(pattern.standard)}`;
    tasks.set(pattern.path, await openApproved(files, by));
  }
  if (tasks.size === 0) return { compared: null, approvedOf: () => null };
  const digests = [...tasks.values()].map(({ digest }) => digest).sort();
  return {
    compared: sha256().update(digests.join()).digest('hex').slice(0, 32),
    approvedOf: (asset) => tasks.get(patternOf(asset)?.path ?? '') ?? null,
  };
}
