import { basename, dirname, extname, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import { timeGuard } from '../../batch/time-guard.js';
import { checkAsset, unreadableReport } from '../../check/check-asset.js';
import { PLAIN } from '../../report/paint.js';
import { totalsOf } from '../../report/report-stream.js';
import type { AssetReport } from '../../report/report-types.js';
import { changeText } from '../../report/text-change.js';
import { visible } from '../../report/visible.js';
import { findStandard, STANDARD_NAME } from '../../standard/find-standard.js';
import { findLedger, LEDGER_NAME } from '../../waivers/ledger.js';
import { EXIT, exitCode } from '../exit-codes.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';
import { type FoundAsset, findAssets, isAssetName, isPattern } from '../paths/find-assets.js';
import { chooseSettings } from '../run/choose-settings.js';
import { openLedgerRun } from '../run/ledger-use.js';
import type { WatchFlags } from './watch-flags.js';

/** How long a file must stay as it is before it counts as written: exporters write in pieces. Milliseconds. */
const SETTLED = 300;
/** How long to wait for more changes before checking: an export writes several files. Milliseconds. */
const GATHERED = 100;

/**
 * Checks assets again whenever they are exported again, and tells first what changed since the last
 * check, until the user stops it. Returns the exit code of the last state.
 */
export async function watchAssets(
  paths: readonly string[],
  reports: Map<string, AssetReport>,
  flags: WatchFlags,
  io: Io,
): Promise<number> {
  const changed = new Set<string>();
  const house = houseFiles(flags, io);
  const folders = foldersOf(paths, io.cwd);
  /** Files whose last state cannot be read, though `reports` holds an earlier one. */
  const broken = new Set<string>();
  let wake: () => void = () => undefined;
  let stopped = false;
  const ignore = io.onStop(() => {
    stopped = true;
    wake();
  });
  const { watch } = await import('chokidar');
  const isWithin = (path: string): boolean =>
    folders.some((folder) => path === folder || path.startsWith(`${folder.replace(/\/$/, '')}/`));
  const watcher = watch([...new Set([...folders, ...[...house].map((path) => dirname(path))])], {
    ignoreInitial: true,
    awaitWriteFinish: { stabilityThreshold: SETTLED, pollInterval: 50 },
    ignored: (path, stats) => {
      if (stats?.isFile() === true) return !house.has(path) && !(isWithin(path) && matters(path));
      // Of the folder of a standard, only the standard: it may be far above the assets.
      return (
        stats?.isDirectory() === true && !isWithin(path) && !isAbove(path, [...folders, ...house])
      );
    },
  });
  watcher.on('all', (event, path) => {
    if (event === 'addDir' || event === 'unlinkDir') return;
    changed.add(resolve(io.cwd, path));
    wake();
  });
  watcher.on('error', () => undefined);
  try {
    await new Promise<void>((ready) => watcher.once('ready', ready));
    await writeText(io.stderr, 'trysquare: watching the files; press Ctrl-C to stop\n');
    while (!stopped) {
      if (changed.size === 0)
        await new Promise<void>((resolve) => {
          wake = resolve;
        });
      if (stopped) break;
      await new Promise((resolve) => setTimeout(resolve, GATHERED));
      const batch = [...changed];
      changed.clear();
      await checkChanged({ paths, house, reports, broken, flags, io }, batch);
    }
  } finally {
    ignore();
    await watcher.close();
  }
  return broken.size > 0 ? EXIT.unreadable : exitCode(totalsOf([...reports.values()]).verdict);
}

/** What a watched check goes by, and what it knows so far. */
interface Watch {
  readonly paths: readonly string[];
  /** Absolute paths of the standard and the ledger, which may lie outside the folders watched. */
  readonly house: ReadonlySet<string>;
  /** The last report of each file that could be read, by its path as shown. */
  readonly reports: Map<string, AssetReport>;
  readonly broken: Set<string>;
  readonly flags: WatchFlags;
  readonly io: Io;
}

/** The standard and the ledger that the check is held to, as absolute paths. */
function houseFiles({ standard, ledger }: WatchFlags, { cwd }: Io): ReadonlySet<string> {
  const pathOf = (
    named: string | boolean | undefined,
    find: (folder: string) => string | null,
  ): string | null => {
    if (named === false) return null;
    return typeof named === 'string' ? resolve(cwd, named) : find(cwd);
  };
  const files = [pathOf(standard, findStandard), pathOf(ledger, findLedger)];
  return new Set(files.filter((path) => path !== null));
}

/** Whether a folder holds one of the paths, however far down. */
function isAbove(folder: string, paths: readonly string[]): boolean {
  return paths.some((path) => path.startsWith(`${folder.replace(/\/$/, '')}/`));
}

/** The folders that hold what is watched; a pattern is looked for from here down. */
function foldersOf(paths: readonly string[], cwd: string): string[] {
  const folders = paths.map((path) => {
    if (isPattern(path)) return resolve(cwd, folderOfPattern(path));
    return isAssetName(path) ? dirname(resolve(cwd, path)) : resolve(cwd, path);
  });
  return [...new Set(folders)];
}

/** The part of a pattern before the first name that is to be expanded. */
function folderOfPattern(pattern: string): string {
  const names = pattern.split('/');
  const first = names.findIndex(isPattern);
  return names.slice(0, first).join('/') || (pattern.startsWith('/') ? '/' : '.');
}

/** Assets, what they may hold their buffers in, and the house's own files. */
function matters(path: string): boolean {
  const name = basename(path);
  return (
    isAssetName(name) ||
    extname(name).toLowerCase() === '.bin' ||
    name === STANDARD_NAME ||
    name === LEDGER_NAME
  );
}

async function checkChanged(
  { paths, house, reports, broken, flags, io }: Watch,
  changed: readonly string[],
): Promise<void> {
  try {
    const { settings } = await chooseSettings(flags, io);
    const ledger = await openLedgerRun(flags, settings, io);
    const found = await findAssets(paths, io.cwd, flags.without);
    const time = clockTime(io.clock());
    const paint =
      io.colour && flags.colour !== 'never'
        ? (await import('../../report/colours.js')).COLOURS
        : PLAIN;
    const options = { columns: Math.min(io.columns ?? 80, 100), paint };
    for (const item of found) {
      const before = reports.get(item.shown) ?? null;
      if (before !== null && !isTouched(item, changed, house)) continue;
      // A folder or link that cannot be followed was told of, and is as it was.
      if (item.kind === 'nothing' && before?.unreadable?.reason === item.reason) continue;
      const report = await checkOne(item, settings, flags.timeLimit);
      const after = ledger?.asset(report) ?? report;
      await writeText(io.stdout, changeText(before, after, time, options));
      // What is half written says nothing: the next change is told against the last whole state.
      if (after.unreadable === null || before === null) reports.set(item.shown, after);
      if (after.unreadable === null) broken.delete(item.shown);
      else broken.add(item.shown);
    }
    const there = new Set(found.map((item) => item.shown));
    for (const path of [...reports.keys()].filter((shown) => !there.has(shown))) {
      reports.delete(path);
      broken.delete(path);
      // That nothing was found in a folder is no file that could go.
      if (paths.includes(path) && !isAssetName(path)) continue;
      await writeText(io.stdout, `${time} ${visible(path)}: gone.\n`);
    }
  } catch (error) {
    // A standard in the middle of being edited must not end the watch.
    if (!(error instanceof UsageError)) throw error;
    await writeText(io.stderr, `trysquare: ${visible(error.message)}\n`);
  }
}

/** Within the time limit alone: memory is not bounded in this process. */
function checkOne(
  item: FoundAsset,
  settings: Parameters<typeof checkAsset>[1]['settings'],
  seconds: number = DEFAULT_LIMITS.seconds,
): Promise<AssetReport> {
  return item.kind === 'file'
    ? checkAsset(item.path, { settings, name: item.shown, guard: timeGuard(seconds) })
    : Promise.resolve(
        unreadableReport(item.shown, item.kind === 'nothing' ? item.reason : '', null),
      );
}

/** Whether a change may have changed an asset: itself, a buffer in or below its folder, the house's files. */
function isTouched(
  item: FoundAsset,
  changed: readonly string[],
  house: ReadonlySet<string>,
): boolean {
  if (item.kind !== 'file') return true;
  return changed.some((path) => {
    if (path === item.path || house.has(path)) return true;
    if (isAssetName(path)) return false;
    const name = basename(path);
    if (name === STANDARD_NAME || name === LEDGER_NAME) return true;
    return path.startsWith(`${dirname(item.path)}/`);
  });
}

/** `09:05:07`, in the time of the machine. */
function clockTime(at: Date): string {
  const two = (value: number): string => String(value).padStart(2, '0');
  return [at.getHours(), at.getMinutes(), at.getSeconds()].map(two).join(':');
}
