import { resolve } from 'node:path';
import type { ApprovedTask } from '../../batch/approved-task.js';
import { checkMany, type Job } from '../../batch/check-many.js';
import type { CachePlace } from '../../batch/report-cache.js';
import type { CheckResult, CheckTask } from '../../batch/task.js';
import { unreadableReport } from '../../check/check-asset.js';
import {
  type PlainSettings,
  plainSettings,
  type Settings,
  settingsDigest,
} from '../../check/settings.js';
import { withoutMarks } from '../../report/log-marks.js';
import { isAtFault } from '../../report/verdicts.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import type { Need } from '../output/format.js';
import { tell } from '../output/write-output.js';
import type { FoundAsset } from '../paths/find-assets.js';
import { refuseGone } from '../paths/working-folder.js';
import { readAsset } from '../read-stdin.js';
import { Checker, type CheckerContext } from './checker.js';
import type { WorkerFlags } from './workers.js';

/** Options that say how a list is worked through. */
export interface BatchFlags extends WorkerFlags {
  readonly quiet?: boolean;
}

interface BatchContext extends Omit<CheckerContext, 'onStop'> {
  readonly settings: Settings;
  /** What each asset has to fit. */
  readonly approvedOf?: (asset: FoundAsset) => ApprovedTask | null;
  /** The model that all are laid over. */
  readonly like?: ApprovedTask | null;
  /** Settings of an asset by its path, where they are not those of the run. */
  readonly settingsOf?: (path: string) => Settings;
  /** What the reports need besides what was found. */
  readonly needs: ReadonlySet<Need>;
  /** Whether pictures have each rig on its own, too. */
  readonly drawViews?: boolean;
  readonly flags: BatchFlags;
}

/**
 * Checks what was found, in workers where there is more than one file, with a progress line. Returns
 * the results in list order, and whether the user stopped the run before its end.
 */
export function checkFound(list: readonly FoundAsset[], context: BatchContext) {
  const abort = new AbortController();
  return { results: work(list, context, abort), stopped: () => abort.signal.aborted };
}

async function* work(
  list: readonly FoundAsset[],
  context: BatchContext,
  abort: AbortController,
): AsyncGenerator<CheckResult> {
  const { flags, io, needs, like = null } = context;
  const { settingsOf = () => context.settings } = context;
  const plainOf = plainOnce();
  const checker = new Checker(list, { ...context, onStop: () => abort.abort() });
  // Reports with more in them are kept apart: none is given out with what was not asked for.
  const kind = needs.has('transforms') ? ' with transforms' : '';
  const cache = await openCache(context);
  const showsProgress = io.progress && list.length > 1 && flags.quiet !== true;
  const progress = showsProgress ? new Progress(list.length, io) : null;
  async function* jobs(): AsyncGenerator<Job> {
    for (const asset of list) {
      if (asset.kind === 'nothing') {
        const report = unreadableReport(asset.shown, asset.reason, null);
        yield { kind: 'known', result: { report, text: null } };
        continue;
      }
      const approved = context.approvedOf?.(asset) ?? null;
      const path = asset.kind === 'file' ? asset.path : '-';
      const held = plainOf(settingsOf(path));
      // Of all approved assets of a run, a report depends on the one that its asset is held to.
      const against = approved === null ? '' : ` ${approved.digest}`;
      const task: CheckTask = {
        path,
        name: asset.shown,
        settings: held.plain,
        approved,
        like,
        hash: needs.has('content'),
        text: needs.has('content'),
        draw: needs.has('pictures'),
        drawViews: context.drawViews === true,
        times: needs.has('times'),
        transforms: needs.has('transforms'),
        // What is kept of an asset tells nothing of a model.
        cache:
          cache !== null && asset.kind === 'file' && like === null
            ? cache.placeOf(`${held.digest()}${kind}${against}`)
            : null,
      };
      if (asset.kind === 'stdin')
        yield { kind: 'check', task: { ...task, bytes: await readAsset(io) } };
      else yield (await cache?.job(task)) ?? { kind: 'check', task };
    }
  }
  try {
    for await (const result of checkMany(jobs(), {
      check: async (task) => {
        const result = await checker.check(task);
        cache?.note(task, result);
        return result;
      },
      workers: checker.count,
      signal: abort.signal,
      onDone: (result) => progress?.done(result),
    })) {
      // Reports may go to the same terminal.
      progress?.clear();
      if (result.report.unreadable !== null) refuseGone(io);
      yield result;
    }
  } finally {
    progress?.clear();
    cache?.close();
    await checker.close();
  }
}

/**
 * Settings as they are sent, once for all assets that share them, and their digest without what any
 * asset of the run has to fit, which a cache alone asks for.
 */
function plainOnce() {
  const known = new Map<Settings, { plain: PlainSettings; digest: () => string }>();
  return (settings: Settings) => {
    const before = known.get(settings);
    if (before !== undefined) return before;
    const plain = plainSettings(settings);
    let digest: string | null = null;
    const made = {
      plain,
      digest: () => (digest ??= settingsDigest({ ...plain, compared: null })),
    };
    known.set(settings, made);
    return made;
  };
}

async function openCache({ flags, io }: BatchContext) {
  if (flags.cache === undefined) return null;
  const shown = visible(flags.cache);
  const { ReportCache, makeCacheFolder } = await import('../../batch/report-cache.js');
  const { StampIndex } = await import('../../batch/file-stamps.js');
  const { jsonText } = await import('../../batch/content-key.js');
  const folder = resolve(io.cwd, flags.cache);
  makeCacheFolder(folder, shown);
  const index = new StampIndex(folder, io.clock());
  let hasComplained = false;
  return {
    placeOf: (settings: string): CachePlace => ({ folder, settings }),
    /** What is known of an asset that has not changed since it was last hashed; null when it has to be read. */
    async job(task: CheckTask): Promise<Job | null> {
      if (task.draw || task.cache === null) return null;
      const key = index.get(task.path);
      const report = key && new ReportCache(task.cache).get(key, task.name, task.hash);
      if (report === null) return null;
      const text = task.text ? await jsonText(task.path) : null;
      return { kind: 'known', result: { report, text } };
    },
    /** Takes note of what was hashed, and says once that something cannot be kept. */
    note(task: CheckTask, { hashed, cacheTrouble }: CheckResult): void {
      if (hashed?.files) index.put(task.path, hashed, hashed.files);
      if (cacheTrouble == null || hasComplained) return;
      hasComplained = true;
      void tell(
        io,
        `the cache ${shown} cannot be written to: ${cacheTrouble}; the run continues, but does not keep all reports`,
      );
    },
    close: () => index.save(),
  };
}

/** A line on a terminal that shows how far the run is. */
class Progress {
  private count = 0;
  private failed = 0;
  private isDrawn = false;

  constructor(
    private readonly total: number,
    private readonly io: Io,
  ) {}

  done({ report }: CheckResult): void {
    this.count++;
    if (isAtFault(report.verdict)) this.failed++;
    const failed = this.failed === 0 ? '' : `, ${this.failed} not sound`;
    const head = `Checked ${this.count} of ${this.total}${failed}: `;
    const room = Math.max(10, this.io.progressColumns - head.length - 1);
    const path = withoutMarks(visible(report.path));
    const last = path.length > room ? `...${path.slice(3 - room)}` : path;
    this.io.stderr.write(`\r\u001b[K${head}${last}`);
    this.isDrawn = true;
  }

  clear(): void {
    if (this.isDrawn) this.io.stderr.write('\r\u001b[K');
    this.isDrawn = false;
  }
}
