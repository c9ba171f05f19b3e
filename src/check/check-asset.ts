import { AssetError } from '../asset/errors.js';
import { type Asset, loadAssetBytes, loadAssetFile } from '../asset/load-asset.js';
import type { Scene } from '../draw/scene.js';
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
  /** Called with what pictures are drawn from, once the asset is read. */
  readonly onScene?: (scene: Scene) => void;
}

/**
 * Checks one asset. A file that cannot be read gives a report that says so; nothing is thrown for
 * what a file contains.
 */
export async function checkAsset(path: string, options: CheckOptions): Promise<AssetReport> {
  return report(options.name ?? path, options, {
    load: () => loadAssetFile(path),
    hash: (kit) => kit.hashFile(path),
  });
}

/** Checks an asset in memory, such as standard input. External buffers are looked for in `folder`. */
export async function checkAssetBytes(
  bytes: Uint8Array,
  options: CheckOptions & { readonly folder?: string | null },
): Promise<AssetReport> {
  return report(options.name ?? '-', options, {
    load: () => loadAssetBytes(bytes, options.folder ?? null),
    hash: (kit) => kit.hashBytes(bytes),
  });
}

interface Origin {
  load(): Promise<Asset>;
  hash(kit: typeof import('../asset/hash-file.js')): string;
}

async function report(path: string, options: CheckOptions, from: Origin): Promise<AssetReport> {
  try {
    const { settings, onScene } = options;
    const asset = await from.load();
    const model = buildRigs(asset);
    if (asset.container.text !== null) options.onText?.(asset.container.text);
    // Hashing is loaded when it is asked for: few runs need it.
    const sha256 = options.hash === true ? from.hash(await import('../asset/hash-file.js')) : null;
    const container = reportContainer(asset, sha256);
    const rigs = reportRigs(model, settings);
    if (onScene !== undefined) {
      const { makeScene } = await import('../draw/scene.js');
      onScene(makeScene(model, (rig) => ({ rig, wanted: settings.wanted })));
    }
    return { path, unreadable: null, container, ...rigs };
  } catch (error) {
    if (error instanceof AssetError) return unreadableReport(path, error.reason, error.where);
    // A bug shows as one, with the file that shows it; the run goes on with the next.
    const what = error instanceof Error ? error.message : String(error);
    const reason = `this is a fault of trysquare itself, please report it with the file: ${what}`;
    return unreadableReport(path, reason, null);
  }
}

/** The report of something that could not be read. */
export function unreadableReport(path: string, reason: string, where: string | null): AssetReport {
  return {
    path,
    verdict: 'unreadable',
    unreadable: { reason, where },
    container: null,
    rigs: [],
    findings: [],
    counts: { error: 0, warning: 0, note: 0 },
  };
}
