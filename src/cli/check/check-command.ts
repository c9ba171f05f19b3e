import { statSync } from 'node:fs';
import { UsageError } from '../../asset/errors.js';
import { listDigest, type Part, shareOf } from '../../batch/part.js';
import { reportHead } from '../../check/make-report.js';
import { Tally } from '../../report/report-stream.js';
import type { AssetReport, PartReport, ReportEnd } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { EXIT, exitCode } from '../exit-codes.js';
import type { Io } from '../io.js';
import type { OutputFlags, Target } from '../output/format.js';
import { isRead, needsOf } from '../output/formats/index.js';
import { Outputs } from '../output/outputs.js';
import { chooseTargets } from '../output/targets.js';
import { tellLedger, tellWritten } from '../output/tell-outputs.js';
import { writeText } from '../output/write-output.js';
import { tellOutside } from '../paths/base-folder.js';
import { type FoundAsset, findAssets } from '../paths/find-assets.js';
import { isSameFile } from '../paths/same-file.js';
import type { ChosenSettings, SettingsFlags } from '../run/choose-settings.js';
import { chooseSettings } from '../run/choose-settings.js';
import { type LedgerFlags, openLedgerRun } from '../run/ledger-use.js';
import { type BatchFlags, checkFound } from '../run/run-batch.js';
import { startEarly, type Workers } from '../run/workers.js';
import { tellIdleLedger } from './idle-ledger.js';
import { refuseUnwatchable } from './watch-flags.js';

export interface CheckFlags extends SettingsFlags, OutputFlags, BatchFlags, LedgerFlags {
  readonly part?: Part;
  /** Patterns of what a search leaves out. */
  readonly without?: readonly string[];
  readonly watch?: boolean;
}

/** `trysquare check`: checks what the paths name and writes the reports. Returns the exit code. */
export async function runCheck(
  paths: readonly string[],
  flags: CheckFlags,
  io: Io,
): Promise<number> {
  if (flags.watch === true) refuseUnwatchable(paths, flags);
  const targets = chooseTargets(flags, io);
  const chosen = await chooseSettings(flags, io);
  const reports = new Map<string, AssetReport>();
  const keep = (asset: AssetReport): void => {
    if (flags.watch === true) reports.set(asset.path, asset);
  };
  const started = await startEarly(paths, flags, io);
  let code: number;
  try {
    const found = await findAssets(paths, io.cwd, flags.without);
    refuseAssets(targets, found);
    const share = takePart(found, flags.part);
    code = await checkList(share, paths, chosen, targets, flags, io, started, keep);
  } finally {
    await started?.close();
  }
  if (flags.watch !== true || code === EXIT.stopped) return code;
  const { watchAssets } = await import('./watch.js');
  return watchAssets(paths, reports, flags, io);
}

/** Checks a list and writes its reports. */
async function checkList(
  { list, part }: ListToCheck,
  paths: readonly string[],
  { settings, standard }: ChosenSettings,
  targets: readonly Target[],
  flags: CheckFlags,
  io: Io,
  started: Workers | null,
  onAsset: (asset: AssetReport) => void,
): Promise<number> {
  const texts = new Map<string, string>();
  const ledger = await openLedgerRun(flags, settings, io, paths);
  const head = reportHead(settings, standard, part);
  const names = list.map(({ shown }) => shown);
  const outputs = await Outputs.open(targets, head, { flags, settings, texts, names, io });
  const tally = new Tally();
  try {
    const run = checkFound(list, { settings, needs: needsOf(targets), flags, io, started });
    for await (const { report, text, pictures, times: taken } of run.results) {
      const asset = ledger?.asset(report) ?? report;
      if (text !== null) texts.set(asset.path, text);
      if (!isRead(targets)) await tellOf(asset, io);
      tally.add(asset);
      onAsset(asset);
      await outputs.asset(asset, pictures ?? null, taken ?? null);
    }
    const totals = tally.totals();
    const partial = run.stopped() ? { checked: totals.assets, of: list.length } : null;
    const end: ReportEnd = {
      partial,
      ledger: ledger?.end() ?? null,
      totals,
      verdict: tally.verdict(partial !== null),
    };
    await outputs.end(end);
    await tellLedger(targets, end.ledger, flags, io);
    if (part === null && partial === null) await tellIdleLedger(end.ledger, flags, io);
    await tellOutside(names, flags, io);
    if (flags.quiet !== true) await tellWritten(targets, totals, io);
    if (partial !== null) {
      await writeText(
        io.stderr,
        `trysquare: the run was stopped: ${partial.checked} of ${partial.of} checked\n`,
      );
      return EXIT.stopped;
    }
    return exitCode(end.verdict);
  } catch (error) {
    outputs.discard();
    throw error;
  }
}

/** A report must not be written over what it is about. */
function refuseAssets(targets: readonly Target[], found: readonly FoundAsset[]): void {
  for (const { path, shown } of targets) {
    if (path === null) continue;
    if (found.some((item) => item.kind === 'file' && isSameFile(item.path, path)))
      throw new UsageError(`--out names ${visible(shown)}, which is one of the assets to check`);
  }
}

/** The assets of a run, and which share of what was found they are. */
interface ListToCheck {
  readonly list: readonly FoundAsset[];
  readonly part: PartReport | null;
}

function takePart(found: readonly FoundAsset[], part: Part | undefined): ListToCheck {
  if (part === undefined) return { list: found, part: null };
  if (found.some((item) => item.kind === 'stdin'))
    throw new UsageError(
      '--part needs several files, and standard input is one asset; leave --part out',
    );
  const sized = found.map((item) => ({ item, shown: item.shown, size: sizeOf(item) }));
  const list = shareOf(sized, part).map(({ item }) => item);
  const paths = found.map((item) => item.shown);
  return { list, part: { ...part, list: listDigest(paths), total: paths.length } };
}

function sizeOf(item: FoundAsset): number {
  if (item.kind !== 'file') return 0;
  try {
    return statSync(item.path).size;
  } catch {
    return 0;
  }
}

/** One line on standard error, for reports that a person does not read as they come. */
async function tellOf({ path, unreadable }: AssetReport, io: Io): Promise<void> {
  if (unreadable === null) return;
  const where = unreadable.where === null ? '' : ` (at ${unreadable.where})`;
  const line = visible(`${path} cannot be read: ${unreadable.reason}${where}`);
  await writeText(io.stderr, `trysquare: ${line}\n`);
}
