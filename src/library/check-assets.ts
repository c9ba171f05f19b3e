import { resolve } from 'node:path';
import type { Settings } from '../check/settings.js';
import { findAssets } from '../cli/paths/find-assets.js';
import { leftOut } from '../cli/paths/left-out.js';
import type { AssetReport } from '../report/report-types.js';
import { checkAsset, standardSettings } from './check.js';

/** What a list of assets is checked by. */
export interface ListOptions {
  readonly settings?: Settings;
  /** The folder that paths are relative to; the working folder by default. */
  readonly cwd?: string;
  /** Patterns of folders and files that a search leaves out. */
  readonly without?: readonly string[];
}

/**
 * The paths of all assets that files, folders and patterns name, each once, in the order of a report.
 * What is named and cannot be read is among them: its check says why.
 */
export async function searchAssets(
  paths: readonly string[],
  { cwd = process.cwd(), without = [] }: Omit<ListOptions, 'settings'> = {},
): Promise<string[]> {
  const found = await findAssets(paths, cwd, leftOut(without, cwd));
  return found.map(({ shown }) => shown);
}

/**
 * Checks all assets that files, folders and patterns name, one after the other in the order of a
 * report, in this process: for many at once, run the command, which has workers.
 */
export async function* checkAssets(
  paths: readonly string[],
  { settings = standardSettings(), cwd = process.cwd(), without = [] }: ListOptions = {},
): AsyncGenerator<AssetReport> {
  for (const name of await searchAssets(paths, { cwd, without }))
    yield await checkAsset(resolve(cwd, name), { settings, name });
}
