import { basename, dirname, extname, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { readApproved } from '../../batch/approved-task.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import { timeGuard } from '../../batch/time-guard.js';
import { checkAsset, unreadableReport } from '../../check/check-asset.js';
import { reportHead } from '../../check/make-report.js';
import { PLAIN } from '../../report/paint.js';
import { totalsOf } from '../../report/report-stream.js';
import type { AssetReport } from '../../report/report-types.js';
import { changeText } from '../../report/text-change.js';
import { visible } from '../../report/visible.js';
import { STANDARD_NAME, standardsFrom } from '../../standard/find-standard.js';
import { findLedger, LEDGER_NAME } from '../../waivers/ledger.js';
import { EXIT, exitCode, hasFailed } from '../exit-codes.js';
import type { Io } from '../io.js';
import type { OutputFlags } from '../output/format.js';
import { tell, writeText } from '../output/write-output.js';
import { type FoundAsset, findAssets, isAssetName, isPattern } from '../paths/find-assets.js';
import { chooseSettings, locate, type SettingsFlags } from '../run/choose-settings.js';
import { termsFor } from '../run/comparing.js';
import { type LedgerFlags, openLedgerRun } from '../run/ledger-use.js';
import { searchTerms } from '../run/left-out-by.js';
import { FailedRules } from '../run/tell-failed.js';
import type { WorkerFlags } from '../run/workers.js';
import type { LivePage } from './live-page.js';

/** How long a file must stay as it is before it counts as written: exporters write in pieces. Milliseconds. */
const SETTLED = 300;
/** How long to wait for more changes before checking: an export writes several files. Milliseconds. */
const GATHERED = 100;

/** What a watched check goes by, and what it knows so far. */
interface Watch {
  readonly paths: readonly string[];
  /** Absolute paths of the ledger and of all standards that assets may be held to, which may lie outside the folders watched. */
  readonly house: ReadonlySet<string>;
  /** The last report of each file that could be read, by its path as shown. */
  readonly reports: Map<string, AssetReport>;
  /** Files whose last state cannot be read, though `reports` holds an earlier one. */
  readonly broken: Set<string>;
  /** The page that is kept current, if there is one. */
  readonly live: LivePage | null;
  readonly flags: SettingsFlags &
    LedgerFlags &
    OutputFlags &
    Pick<WorkerFlags, 'timeLimit'> & { readonly without?: readonly string[] };
  readonly io: Io;
}

/**
 * Checks assets again whenever they are exported again, and shows first what changed since the last
 * check, until the user stops it. Returns the exit code of the last state.
 */
export async function watchAssets(
  paths: readonly string[],
  reports: Watch['reports'],
  live: LivePage | null,
  flags: Watch['flags'],
  io: Io,
): Promise<number> {
  const changed = new Set<string>();
  const ledger = locate(flags.ledger, findLedger, io.cwd);
  const folders = [...new Set(paths.map((path) => folderOf(path, io.cwd)))];
  const standards =
    typeof flags.standard === 'string'
      ? [resolve(io.cwd, flags.standard)]
      : flags.standard === false
        ? []
        : [io.cwd, ...folders].flatMap(standardsFrom);
  const house = new Set([...standards, ...(ledger === null ? [] : [ledger.path])]);
  const broken = new Set<string>();
  let wake: () => void = () => undefined;
  let stopped = false;
  const stopListening = io.onStop(() => {
    stopped = true;
    wake();
  });
  const { watch } = await import('chokidar');
  const isWithin = (path: string): boolean =>
    folders.some((folder) => path === folder || contains(folder, path));
  // Of the folder of a standard, only the standard: it may be far above the assets.
  const isOnTheWay = (folder: string): boolean =>
    [...folders, ...house].some((path) => contains(folder, path));
  const watcher = watch([...new Set([...folders, ...[...house].map((path) => dirname(path))])], {
    ignoreInitial: true,
    awaitWriteFinish: { stabilityThreshold: SETTLED, pollInterval: 50 },
    ignored: (path, stats) => {
      if (stats?.isFile() === true) return !house.has(path) && !(isWithin(path) && isWatched(path));
      return stats?.isDirectory() === true && !isWithin(path) && !isOnTheWay(path);
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
    await tell(io, 'watching the files; press Ctrl-C to stop');
    while (!stopped) {
      if (changed.size === 0)
        await new Promise<void>((resolve) => {
          wake = resolve;
        });
      if (stopped) break;
      await new Promise((resolve) => setTimeout(resolve, GATHERED));
      const batch = [...changed];
      changed.clear();
      await checkChanged({ paths, house, reports, broken, live, flags, io }, batch);
    }
  } finally {
    stopListening();
    await watcher.close();
    live?.end();
  }
  const last = [...reports.values()];
  return broken.size > 0 ? EXIT.unreadable : exitCode(totalsOf(last).verdict, last.some(hasFailed));
}

/** Whether a path lies in a folder, however far down. */
function contains(folder: string, path: string): boolean {
  return path.startsWith(`${folder.replace(/\/$/, '')}/`);
}

/** The folder to watch for a path; that of a pattern comes before the first name to be expanded. */
function folderOf(path: string, cwd: string): string {
  if (!isPattern(path)) return isAssetName(path) ? dirname(resolve(cwd, path)) : resolve(cwd, path);
  const names = path.split('/');
  const fixed = names.slice(0, names.findIndex(isPattern)).join('/');
  return resolve(cwd, fixed || (path.startsWith('/') ? '/' : '.'));
}

function isHouseName(name: string): boolean {
  return name === STANDARD_NAME || name === LEDGER_NAME;
}

/** Whether a file is an asset, what one may hold its buffers in, or of the house. */
function isWatched(path: string): boolean {
  const name = basename(path);
  return isAssetName(name) || extname(name).toLowerCase() === '.bin' || isHouseName(name);
}

async function checkChanged(
  { paths, house, reports, broken, live, flags, io }: Watch,
  changed: readonly string[],
): Promise<void> {
  try {
    const chosen = await chooseSettings(flags, io);
    const { without, of } = searchTerms(flags.without, chosen, io.cwd);
    const found = await findAssets(paths, io.cwd, without, of);
    const { settings, heldToOf, approvedOf } = await termsFor(chosen, found, flags, io);
    const ledger = await openLedgerRun(flags, settings, io);
    const head = {
      ...reportHead(settings, chosen.standard),
      ...(chosen.above.length > 0 && { standardAbove: chosen.above }),
    };
    // `09:05:07`, in the time of the machine.
    const time = io.clock().toTimeString().slice(0, 8);
    const paint =
      io.colour && flags.colour !== 'never'
        ? (await import('../../report/colours.js')).COLOURS
        : PLAIN;
    const options = { columns: Math.min(io.columns ?? 80, 100), paint };
    for (const asset of found) {
      const before = reports.get(asset.shown) ?? null;
      if (before !== null && !isTouched(asset, changed, house)) continue;
      // A folder or link that cannot be followed was reported, and is as it was.
      if (asset.kind === 'nothing' && before?.unreadable?.reason === asset.reason) continue;
      // Within the time limit alone: memory is not bounded in this process.
      const guard = timeGuard(flags.timeLimit ?? DEFAULT_LIMITS.seconds);
      const task = approvedOf(asset);
      const approved = task && (await readApproved(task, guard));
      const held = heldToOf(asset.shown);
      const drawing = live?.drawing(held.settings, approved, guard);
      const terms = {
        settings: held.settings,
        approved,
        name: asset.shown,
        guard,
        ...(drawing && { onModel: drawing.onModel }),
      };
      const report =
        asset.kind === 'file'
          ? await checkAsset(asset.path, terms)
          : unreadableReport(asset.shown, asset.kind === 'nothing' ? asset.reason : '', null);
      const own = held.standard === undefined ? report : { ...report, standard: held.standard };
      const after = ledger?.asset(own, [], held.ran) ?? own;
      await new FailedRules(io).add(after);
      if (live !== null) live.update(head, after, (await drawing?.pictures(after)) ?? null);
      await writeText(io.stdout, changeText(before, after, time, options));
      // Half a file says nothing: the next change is compared with the last whole state.
      if (after.unreadable === null || before === null) reports.set(asset.shown, after);
      if (after.unreadable === null) broken.delete(asset.shown);
      else broken.add(asset.shown);
    }
    const there = new Set(found.map((asset) => asset.shown));
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
    await tell(io, visible(error.message));
  }
}

/** Whether a change may have changed an asset: itself, a buffer in or below its folder, the house's files. */
function isTouched(asset: FoundAsset, changed: readonly string[], house: Watch['house']): boolean {
  if (asset.kind !== 'file') return true;
  return changed.some((path) => {
    if (path === asset.path || house.has(path)) return true;
    if (isAssetName(path)) return false;
    return isHouseName(basename(path)) || path.startsWith(`${dirname(asset.path)}/`);
  });
}
