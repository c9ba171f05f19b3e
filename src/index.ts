import { rules } from '../rules/index.js';
import {
  type CheckOptions,
  checkAssetBytes as checkBytes,
  checkAsset as checkFile,
} from './check/check-asset.js';
import { defaultSettings, type Settings } from './check/settings.js';
import type { AssetReport } from './report/report-types.js';
import { readStandard } from './standard/read-standard.js';

export { families, rules } from '../rules/index.js';
export { AssetError, UsageError } from './asset/errors.js';
export type { CheckOptions } from './check/check-asset.js';
export { makeReport } from './check/make-report.js';
export type { Settings } from './check/settings.js';
export type { Level } from './kit/finding.js';
export type { Rule, RuleText } from './kit/rule.js';
export { COLOURS } from './report/colours.js';
export { writeCsv } from './report/csv.js';
export { writeJson } from './report/json.js';
export { writeJunit } from './report/junit.js';
export { writeMarkdown } from './report/markdown.js';
export { type Paint, PLAIN } from './report/paint.js';
export { reportSchema } from './report/report-schema.js';
export type * from './report/report-types.js';
export { writeSarif } from './report/sarif.js';
export { writeText } from './report/text.js';
export type * from './report/transforms-report.js';
export { version } from './report/version.js';
export { standardSchema } from './standard/standard-schema.js';

/** Options with the settings left to the defaults when they are not given. */
export type AssetOptions = Omit<CheckOptions, 'settings' | 'guard'> & {
  readonly settings?: Settings;
};

/**
 * The settings of a standard file; without one, every rule at its default level and limit. Throws
 * UsageError when the file is wrong.
 */
export function standardSettings(path?: string): Settings {
  return path === undefined ? defaultSettings(rules) : readStandard(path, path, rules).settings;
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
