import { rules } from '../../rules/index.js';
import { AssetError } from '../asset/errors.js';
import type { Guard } from '../asset/guard.js';
import { checkAsset, checkAssetBytes, unreadableReport } from '../check/check-asset.js';
import { importRules, type LoadModule } from '../check/own-rules.js';
import {
  limitsOfAll,
  type PlainSettings,
  type Settings,
  settingsFromPlain,
} from '../check/settings.js';
import type { Scene } from '../draw/scene.js';
import type { AssetPictures } from '../report/asset-pictures.js';
import type { AssetTimes } from '../report/asset-times.js';
import type { LikeReport } from '../report/like-report.js';
import type { AssetReport } from '../report/report-types.js';
import type { ApprovedAsset, RigModel } from '../rig/types.js';
import { type ApprovedTask, readApproved } from './approved-task.js';
import type { HashedContent } from './content-key.js';
import type { CachePlace } from './report-cache.js';
import { timeGuard } from './time-guard.js';

/** One asset to check: all that a worker has to know. */
export interface CheckTask {
  readonly path: string;
  /** The asset itself where it is no file, such as standard input. */
  readonly bytes?: Uint8Array;
  /** Its path in the report. */
  readonly name: string;
  readonly settings: PlainSettings;
  /** What it has to fit; absent or null where it is compared with nothing. */
  readonly approved?: ApprovedTask | null;
  /** The model that it is laid over, whatever its joints are called; absent or null for none. */
  readonly like?: ApprovedTask | null;
  readonly hash: boolean;
  /** Also give back the text of a `.gltf`, for reports that point into it. */
  readonly text: boolean;
  /** Also draw it, for which a report from a cache is not enough. */
  readonly draw: boolean;
  /** And each rig on its own. */
  readonly drawViews?: boolean;
  /** Also take the time; a report from a cache has none. */
  readonly times?: boolean;
  /** Also tell transforms and clips; the cache is then one of such reports. */
  readonly transforms?: boolean;
  /** Where its report may lie already, and is put if not; null for no cache. */
  readonly cache: CachePlace | null;
}

export interface CheckResult {
  readonly report: AssetReport;
  readonly text: string | null;
  /** Null when they were not asked for, or nothing was checked. */
  readonly times?: AssetTimes | null;
  /** Null when nothing was to be drawn, or it could not be read. */
  readonly pictures?: AssetPictures | null;
  /** How it is like the model; null or absent where there is none, or it could not be read. */
  readonly like?: LikeReport | null;
  /** What was hashed for the cache; null where nothing was, or it changed meanwhile. */
  readonly hashed?: HashedContent | null;
  /** Why the report could not be put into the cache; null when nothing is wrong with it. */
  readonly cacheTrouble?: string | null;
}

/**
 * Checks one asset in this thread, within what the guard lets it.
 *
 * @param load Imports the modules that the settings name.
 */
export async function runTask(
  task: CheckTask,
  guard: Guard,
  load: LoadModule,
): Promise<CheckResult> {
  const own = await importRules(task.settings.own?.modules ?? [], load);
  const all = own.length === 0 ? rules : [...rules, ...own];
  return task.cache === null
    ? checkTask(task, guard, all)
    : checkThroughCache(task, task.cache, guard, all);
}

/** The same in a worker. The time is taken here, since the process that waits for it may be busy. */
export function runWithin(
  task: CheckTask,
  seconds: number,
  load: LoadModule,
): Promise<CheckResult> {
  return runTask(task, timeGuard(seconds), load);
}

async function checkTask(
  task: CheckTask,
  guard: Guard,
  known: Settings['known'],
): Promise<CheckResult> {
  let text: string | null = null;
  let scene: Scene | null = null;
  let times: AssetTimes | null = null;
  const settings = settingsFromPlain(task.settings, known);
  let like: LikeReport | null = null;
  let approved: ApprovedAsset | null;
  let liked: ApprovedAsset | null;
  try {
    approved = task.approved == null ? null : await readApproved(task.approved, guard);
    liked = task.like == null ? null : await readApproved(task.like, guard);
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    return { report: unreadableReport(task.name, error.reason, error.where), text: null };
  }
  const options: Parameters<typeof checkAsset>[1] = {
    settings,
    approved,
    name: task.name,
    hash: task.hash,
    transforms: task.transforms === true,
    guard,
    onText: (json) => {
      if (task.text) text = json;
    },
    onTimes: (taken) => {
      if (task.times === true) times = taken;
    },
    onModel: async (model: RigModel) => {
      if (liked !== null) {
        const { reportLikeness } = await import('../check/report-likeness.js');
        const by = liked;
        like = guard.run(() => reportLikeness(model, by, settings));
      }
      if (!task.draw) return;
      const { makeScene } = await import('../draw/make-scene.js');
      scene = guard.run(() =>
        makeScene(model, settings.wanted, approved, limitsOfAll(settings), liked),
      );
    },
  };
  const report = await (task.bytes === undefined
    ? checkAsset(task.path, options)
    : checkAssetBytes(task.bytes, options));
  try {
    const pictures = await drawn(scene, report, guard, task);
    return { report, text, times, like, pictures };
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    return { report: unreadableReport(task.name, error.reason, error.where), text: null };
  }
}

/** Pictures of an asset that was read. Throws AssetError where the guard does. */
async function drawn(
  scene: Scene | null,
  report: AssetReport,
  guard: Guard,
  { drawViews = false }: CheckTask,
) {
  if (scene === null || report.unreadable !== null) return null;
  const { picturesOf } = await import('../page/pictures-of.js');
  return picturesOf(scene, report, guard, drawViews);
}

async function checkThroughCache(
  task: CheckTask,
  place: CachePlace,
  guard: Guard,
  known: Settings['known'],
): Promise<CheckResult> {
  const { contentKey, jsonText } = await import('./content-key.js');
  const { stampsOf, sureSame } = await import('./file-stamps.js');
  const { ReportCache } = await import('./report-cache.js');
  const cache = new ReportCache(place);
  const before = await contentKey(task.path);
  const kept = before && !task.draw ? cache.get(before, task.name, task.hash) : null;
  if (kept !== null) {
    const text = task.text ? await jsonText(task.path) : null;
    return { report: kept, text, hashed: before };
  }
  const result = await checkTask(task, guard, known);
  const { unreadable, failed } = result.report;
  if (before === null || unreadable !== null || failed !== undefined) return result;
  // A file that was written to while it was checked has a report of neither state.
  const { files } = before;
  const after = files && stampsOf(files.map(({ path }) => path));
  const isUnchanged =
    (files && after && sureSame(files, after)) || (await contentKey(task.path))?.all === before.all;
  if (!isUnchanged) return result;
  return { ...result, hashed: before, cacheTrouble: cache.put(before, result.report) };
}
