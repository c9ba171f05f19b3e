import { resolve } from 'node:path';
import { checkMany, type Job } from '../../batch/check-many.js';
import type { CachePlace } from '../../batch/report-cache.js';
import type { CheckResult, CheckTask } from '../../batch/task.js';
import { unreadableReport } from '../../check/check-asset.js';
import type { Settings } from '../../check/settings.js';
import { plainSettings, settingsDigest } from '../../check/settings.js';
import { withoutMarks } from '../../report/log-marks.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import type { Need } from '../output/format.js';
import { writeText } from '../output/write-output.js';
import type { FoundAsset } from '../paths/find-assets.js';
import { refuseGone } from '../paths/working-folder.js';
import { readStdin } from '../read-stdin.js';
import { Checker } from './checker.js';
import type { WorkerFlags, Workers } from './workers.js';

/** Options that say how a list is worked through. */
export interface BatchFlags extends WorkerFlags {
  readonly cache?: string;
  readonly quiet?: boolean;
}

interface BatchContext {
  readonly settings: Settings;
  /** What the reports need besides what was found. */
  readonly needs: ReadonlySet<Need>;
  readonly flags: BatchFlags;
  readonly io: Io;
  /** Workers that were started before the list was known; the run ends them. */
  readonly started?: Workers | null;
}

export interface BatchRun {
  /** In list order. */
  readonly results: AsyncIterable<CheckResult>;
  /** Whether the user stopped it before its end. */
  stopped(): boolean;
}

/** Checks what was found, in workers where there is more than one file, with a line that tells how far. */
export function checkFound(list: readonly FoundAsset[], context: BatchContext): BatchRun {
  const abort = new AbortController();
  return { results: work(list, context, abort), stopped: () => abort.signal.aborted };
}

async function* work(
  list: readonly FoundAsset[],
  context: BatchContext,
  abort: AbortController,
): AsyncGenerator<CheckResult> {
  const { flags, io, needs } = context;
  const plain = plainSettings(context.settings);
  const checker = new Checker(list, { ...context, onStop: () => abort.abort() });
  const cache = await openCache(context, settingsDigest(plain));
  const progress = new Progress(
    list.length,
    io.progress && list.length > 1 && flags.quiet !== true,
    io,
  );
  async function* jobs(): AsyncGenerator<Job> {
    for (const item of list) {
      if (item.kind === 'nothing') {
        yield {
          kind: 'known',
          result: { report: unreadableReport(item.shown, item.reason, null), text: null },
        };
        continue;
      }
      const task: CheckTask = {
        path: item.kind === 'file' ? item.path : '-',
        name: item.shown,
        settings: plain,
        hash: needs.has('content'),
        text: needs.has('content'),
        draw: needs.has('pictures'),
        times: needs.has('times'),
        cache: item.kind === 'file' ? (cache?.place ?? null) : null,
      };
      if (item.kind === 'stdin') {
        yield { kind: 'check', task: { ...task, bytes: await readStdin(io) } };
      } else {
        yield (await cache?.job(task)) ?? { kind: 'check', task };
      }
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
      onDone: (result) => progress.done(result),
    })) {
      // Reports may go to the same terminal.
      progress.clear();
      if (result.report.unreadable !== null) refuseGone(io);
      yield result;
    }
  } finally {
    progress.clear();
    cache?.close();
    await checker.close();
  }
}

interface OpenCache {
  readonly place: CachePlace;
  /** What is known of an asset that has not changed since it was last hashed; null when it has to be read. */
  job(task: CheckTask): Promise<Job | null>;
  /** Takes note of what was hashed, and tells once of what cannot be kept. */
  note(task: CheckTask, result: CheckResult): void;
  close(): void;
}

async function openCache({ flags, io }: BatchContext, settings: string): Promise<OpenCache | null> {
  if (flags.cache === undefined) return null;
  const shown = visible(flags.cache);
  const { ReportCache, makeCacheFolder } = await import('../../batch/report-cache.js');
  const { StampIndex } = await import('../../batch/file-stamps.js');
  const { jsonText } = await import('../../batch/content-key.js');
  const place = { folder: resolve(io.cwd, flags.cache), settings };
  makeCacheFolder(place.folder, shown);
  const cache = new ReportCache(place);
  const index = new StampIndex(place.folder, io.clock());
  let told = false;
  return {
    place,
    async job(task) {
      if (task.draw) return null;
      const key = index.get(task.path);
      const report = key && cache.get(key, task.name, task.hash);
      if (report === null) return null;
      const text = task.text ? await jsonText(task.path) : null;
      return { kind: 'known', result: { report, text } };
    },
    note(task, { hashed, cacheTrouble }) {
      if (hashed?.files) index.put(task.path, hashed, hashed.files);
      if (cacheTrouble == null || told) return;
      told = true;
      void writeText(
        io.stderr,
        `trysquare: the cache ${shown} cannot be written to: ${cacheTrouble}; the run continues, but does not keep all reports\n`,
      );
    },
    close: () => index.save(),
  };
}

/** A line on a terminal that tells how far the run is. */
class Progress {
  private count = 0;
  private failed = 0;
  private drawn = false;
  private readonly total: number;
  private readonly shown: boolean;
  private readonly io: Io;

  constructor(total: number, shown: boolean, io: Io) {
    this.total = total;
    this.shown = shown;
    this.io = io;
  }

  done({ report }: CheckResult): void {
    this.count++;
    if (report.verdict !== 'sound') this.failed++;
    if (!this.shown) return;
    const failed = this.failed === 0 ? '' : `, ${this.failed} not sound`;
    const head = `Checked ${this.count} of ${this.total}${failed}: `;
    const room = Math.max(10, this.io.progressColumns - head.length - 1);
    const path = withoutMarks(visible(report.path));
    const last = path.length > room ? `...${path.slice(3 - room)}` : path;
    this.io.stderr.write(`\r\u001b[K${head}${last}`);
    this.drawn = true;
  }

  clear(): void {
    if (this.drawn) this.io.stderr.write('\r\u001b[K');
    this.drawn = false;
  }
}
