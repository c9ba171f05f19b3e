import { clipAccessors } from '../asset/clip-accessors.js';
import { AssetError } from '../asset/errors.js';
import { type Guard, NO_GUARD } from '../asset/guard.js';
import {
  type Asset,
  loadAssetBytes,
  loadAssetFile,
  type MoreAccessors,
} from '../asset/load-asset.js';
import { hiddenOutOfFiles } from '../asset/open-files.js';
import { type AssetTimes, Stopwatch, type Timer } from '../report/asset-times.js';
import type { AssetReport } from '../report/report-types.js';
import { buildRigs } from '../rig/build-rigs.js';
import type { ApprovedAsset, RigModel } from '../rig/types.js';
import { reportContainer, reportRigs } from './build-report.js';
import { RuleFaults } from './rule-faults.js';
import type { Settings } from './settings.js';

export interface CheckOptions {
  readonly settings: Settings;
  /** Name of the asset in the report; its path as given by default. */
  readonly name?: string;
  /** The asset that it has to fit; null to compare it with none. */
  readonly approved?: ApprovedAsset | null;
  /** Also hash the whole file, which reads all of it. */
  readonly hash?: boolean;
  /** Also tell the transforms and frames of all joints, and the clips of each rig. */
  readonly transforms?: boolean;
  /** Called with the JSON text of a `.gltf`, for reports that point into it. */
  readonly onText?: (text: string) => void;
  /** Called with the judged rigs, for pictures of them. What it throws counts as the asset's. */
  readonly onModel?: (model: RigModel) => void | Promise<void>;
  /** Called last, with the time it took. */
  readonly onTimes?: (times: AssetTimes) => void;
  readonly timer?: Timer;
  /** Bounds of time and size besides the limits of one asset. */
  readonly guard?: Guard;
}

/**
 * Checks one asset. A file that cannot be read gives a report that says so; nothing is thrown for
 * what a file contains. Throws MachineError when the machine lets no file be opened.
 */
export async function checkAsset(path: string, options: CheckOptions): Promise<AssetReport> {
  return report(options.name ?? path, options, {
    load: (guard, also) => loadAssetFile(path, guard, also),
    hash: (kit) => kit.hashFile(path),
  });
}

/** Checks an asset in memory, such as standard input. External buffers are read from `folder`. */
export async function checkAssetBytes(
  bytes: Uint8Array,
  options: CheckOptions & { readonly folder?: string | null },
): Promise<AssetReport> {
  return report(options.name ?? '-', options, {
    load: (guard, also) => loadAssetBytes(bytes, options.folder ?? null, also, guard),
    hash: (kit) => kit.hashBytes(bytes),
  });
}

interface Origin {
  load(guard: Guard, also?: MoreAccessors): Promise<Asset>;
  hash(kit: typeof import('../asset/hash-file.js')): string;
}

async function report(path: string, options: CheckOptions, from: Origin): Promise<AssetReport> {
  const watch = new Stopwatch(options.timer);
  const checked = await check(path, options, from, watch).catch((error) => failed(path, error));
  options.onTimes?.(watch.times());
  return checked;
}

async function check(
  path: string,
  options: CheckOptions,
  from: Origin,
  watch: Stopwatch,
): Promise<AssetReport> {
  const { settings, approved = null, guard = NO_GUARD, hash = false, onText, onModel } = options;
  // A file that holds nothing but clips is compared with the rig that they are for.
  const asset = await from.load(guard, approved === null ? undefined : clipAccessors);
  const built = guard.run(() => buildRigs(asset));
  const model = approved?.clipsAlone === true ? { ...built, rigs: [] } : built;
  if (asset.container.text !== null) onText?.(asset.container.text);
  // Loaded only when needed: few runs hash, and few list transforms.
  const sha256 = hash ? from.hash(await import('../asset/hash-file.js')) : null;
  const more = options.transforms === true ? await import('./report-transforms.js') : null;
  const container = reportContainer(asset, sha256);
  const faults = new RuleFaults(settings.own);
  const rigs = runBlaming(faults, () =>
    guard.run(() =>
      reportRigs(model, settings, watch, approved, more?.transformsOf ?? null, faults),
    ),
  );
  await onModel?.(model);
  return {
    path,
    unreadable: null,
    container,
    ...(approved && { approved: approved.name }),
    ...rigs,
  };
}

/** Work whose end by the guard names the rule of the house's own that was at work. */
function runBlaming<T>(faults: RuleFaults, work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw faults.blamed(error);
  }
}

function failed(path: string, error: unknown): AssetReport {
  if (error instanceof AssetError) return unreadableReport(path, error.reason, error.where);
  const trouble = hiddenOutOfFiles(error);
  if (trouble !== null) throw trouble;
  // A bug shows as one, with the file that shows it; the run goes on with the next.
  const what = error instanceof Error ? error.message : String(error);
  const reason = `this is a fault of trysquare itself. Please report it, together with the file: ${what}`;
  return unreadableReport(path, reason, null);
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
