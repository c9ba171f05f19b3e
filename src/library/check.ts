import { rules } from '../../rules/index.js';
import {
  type CheckOptions,
  checkAssetBytes as checkBytes,
  checkAsset as checkFile,
} from '../check/check-asset.js';
import { defaultSettings, type Settings } from '../check/settings.js';
import type { Rule } from '../kit/rule.js';
import type { AssetReport } from '../report/report-types.js';
import { readStandard } from '../standard/read-standard.js';

/** Options with the settings left to the defaults when they are not given. */
export type AssetOptions = Omit<CheckOptions, 'settings' | 'guard'> & {
  readonly settings?: Settings;
};

/**
 * The settings of a standard file; without one, every rule at its default level and limit. Throws
 * UsageError when the file is wrong.
 *
 * @param own Rules of your own, made with `rule` or `assetRule`. The standard may name them.
 */
export function standardSettings(path?: string, own: readonly Rule[] = []): Settings {
  const known = own.length === 0 ? rules : [...rules, ...own];
  const settings =
    path === undefined ? defaultSettings(known) : readStandard(path, path, known).settings;
  if (own.length === 0) return settings;
  const moduleOf = Object.fromEntries(own.map(({ id }) => [id, null]));
  return { ...settings, own: { modules: [], digest: '', moduleOf } };
}

/**
 * Checks the rigs of one asset file. What the file holds never throws: an asset that cannot be read
 * gives a report that says so.
 */
export function checkAsset(path: string, options: AssetOptions = {}): Promise<AssetReport> {
  return checkFile(path, { ...options, settings: options.settings ?? standardSettings() });
}

/** Checks an asset in memory; its external buffers are looked for in `folder`, or refused. */
export function checkAssetBytes(
  bytes: Uint8Array,
  options: AssetOptions & { readonly folder?: string | null } = {},
): Promise<AssetReport> {
  return checkBytes(bytes, { ...options, settings: options.settings ?? standardSettings() });
}
