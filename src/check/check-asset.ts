import { createHash } from 'node:crypto';
import { statSync } from 'node:fs';
import { AssetError } from '../asset/errors.js';
import { hashFile } from '../asset/hash-file.js';
import { type Asset, loadAssetBytes, loadAssetFile } from '../asset/load-asset.js';
import type { AssetReport } from '../report/report-types.js';
import { buildRigs } from '../rig/build-rigs.js';
import { reportContainer, reportRigs } from './build-report.js';
import type { Settings } from './settings.js';

export interface CheckOptions {
  readonly settings: Settings;
  /** Name of the asset in the report; its path as given by default. */
  readonly name?: string;
  /** Also hash the whole file, which reads all of it. */
  readonly hash?: boolean;
  /** Called with the JSON text of a `.gltf`, for reports that point into it. */
  readonly onText?: (text: string) => void;
}

/**
 * Checks one asset. A file that cannot be read gives a report that says so; nothing is thrown for
 * what a file contains.
 */
export async function checkAsset(path: string, options: CheckOptions): Promise<AssetReport> {
  return report(options.name ?? path, options, async () => {
    const asset = await loadAssetFile(path);
    return {
      asset,
      bytes: statSync(path).size,
      sha256: options.hash === true ? hashFile(path) : null,
    };
  });
}

/** Checks an asset in memory, such as standard input. External buffers are looked for in `folder`. */
export async function checkAssetBytes(
  bytes: Uint8Array,
  options: CheckOptions & { readonly folder?: string | null },
): Promise<AssetReport> {
  return report(options.name ?? '-', options, async () => {
    const asset = await loadAssetBytes(bytes, options.folder ?? null);
    return {
      asset,
      bytes: bytes.byteLength,
      sha256: options.hash === true ? hashBytes(bytes) : null,
    };
  });
}

async function report(
  path: string,
  options: CheckOptions,
  load: () => Promise<{ asset: Asset; bytes: number; sha256: string | null }>,
): Promise<AssetReport> {
  try {
    const { asset, bytes, sha256 } = await load();
    if (asset.container.text !== null) options.onText?.(asset.container.text);
    const container = reportContainer(asset, bytes, sha256);
    return { path, unreadable: null, container, ...reportRigs(buildRigs(asset), options.settings) };
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    return {
      path,
      verdict: 'unreadable',
      unreadable: { reason: error.reason, where: error.where },
      container: null,
      rigs: [],
      findings: [],
      counts: { error: 0, warning: 0, note: 0 },
    };
  }
}

function hashBytes(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}
