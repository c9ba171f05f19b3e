import { statSync } from 'node:fs';
import { UsageError } from '../../asset/errors.js';
import { listDigest, type Part, shareOf } from '../../batch/part.js';
import { reportHead } from '../../check/make-report.js';
import type { Settings } from '../../check/settings.js';
import { Tally } from '../../report/report-stream.js';
import type { AssetReport, ReportEnd, ReportHead } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { EXIT, exitCode } from '../exit-codes.js';
import type { Io } from '../io.js';
import type { OutputFlags, Target } from '../output/format.js';
import { DEFAULT_FORMAT, isRead, needsOf } from '../output/formats/index.js';
import { Outputs } from '../output/outputs.js';
import { chooseTargets } from '../output/targets.js';
import { tellOutputs } from '../output/tell-outputs.js';
import { tell, tellFailure } from '../output/write-output.js';
import { type FoundAsset, findAssets } from '../paths/find-assets.js';
import { leftOut } from '../paths/left-out.js';
import { isSameFile } from '../paths/link-end.js';
import { type ChosenSettings, chooseSettings, type SettingsFlags } from '../run/choose-settings.js';
import { findHeldTo } from '../run/held-to.js';
import { type LedgerFlags, openLedgerRun } from '../run/ledger-use.js';
import { type BatchFlags, checkFound } from '../run/run-batch.js';
import { startEarly, type Workers } from '../run/workers.js';

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
  const reports = flags.watch === true ? new Map<string, AssetReport>() : null;
  const started = await startEarly(paths, flags, io);
  let code: number;
  try {
    const found = await findAssets(paths, io.cwd, leftOut(flags.without, io.cwd, chosen.without));
    refuseAssets(targets, found);
    const share = takePart(found, flags.part);
    code = await checkList(share, paths, chosen, targets, flags, io, started, reports);
  } finally {
    await started?.close();
  }
  if (reports === null || code === EXIT.stopped) return code;
  const { watchAssets } = await import('./watch.js');
  return watchAssets(paths, reports, flags, io);
}

/** Refuses what does not go with watching. Throws UsageError. */
function refuseUnwatchable(paths: readonly string[], { out, format }: CheckFlags): void {
  if (paths.includes('-'))
    throw new UsageError('standard input cannot be watched; name files or folders');
  if (out !== undefined || (format ?? DEFAULT_FORMAT.name) !== DEFAULT_FORMAT.name)
    throw new UsageError('--watch writes text to standard output; leave out --out and --format');
}

/** Checks a list and writes its reports, which `reports` keeps by their paths. */
async function checkList(
  { list, part }: ReturnType<typeof takePart>,
  paths: readonly string[],
  chosen: ChosenSettings,
  targets: readonly Target[],
  flags: CheckFlags,
  io: Io,
  started: Workers | null,
  reports: Map<string, AssetReport> | null,
): Promise<number> {
  const texts = new Map<string, string>();
  const { settings, standard } = chosen;
  const files = list.flatMap((asset) => (asset.kind === 'file' ? [asset.path] : []));
  const heldToOf = await findHeldTo(files, chosen, flags, io);
  const settingsOf = (path: string): Settings => heldToOf(path).settings;
  const ledger = await openLedgerRun(flags, settings, io, paths);
  const needs = needsOf(targets, flags);
  const head: ReportHead = {
    ...reportHead(settings, standard, part),
    ...(needs.has('transforms') && { transforms: true }),
  };
  const names = list.map(({ shown }) => shown);
  const outputs = await Outputs.open(targets, head, { flags, settings, texts, names, io });
  const tally = new Tally();
  try {
    const run = checkFound(list, { settings, settingsOf, needs, flags, io, started });
    for await (const { report, text, pictures, times } of run.results) {
      const { standard: own, ran } = heldToOf(report.path);
      const held = own === undefined ? report : { ...report, standard: own };
      const asset = ledger?.asset(held, [], ran) ?? held;
      if (text !== null) texts.set(asset.path, text);
      // A report that a person reads as it comes says so itself.
      if (asset.unreadable !== null && !isRead(targets))
        await tellFailure(io, asset.path, 'read', asset.unreadable);
      tally.add(asset);
      reports?.set(asset.path, asset);
      await outputs.asset(asset, pictures, times);
    }
    const totals = tally.totals();
    const partial = run.stopped() ? { checked: totals.assets, of: list.length } : null;
    const verdict = tally.verdict(partial !== null);
    const end: ReportEnd = { partial, ledger: ledger?.end() ?? null, totals, verdict };
    await outputs.end(end);
    await tellOutputs(targets, { ...head, ...end }, names, flags, io);
    if (partial === null) return exitCode(verdict);
    await tell(io, `the run was stopped: ${partial.checked} of ${partial.of} checked`);
    return EXIT.stopped;
  } catch (error) {
    outputs.discard();
    throw error;
  }
}

/** A report must not be written over what it is about. */
function refuseAssets(targets: readonly Target[], found: readonly FoundAsset[]): void {
  const files = found.flatMap((asset) => (asset.kind === 'file' ? [asset.path] : []));
  for (const { path, shown } of targets)
    if (path !== null && files.some((file) => isSameFile(file, path)))
      throw new UsageError(`--out names ${visible(shown)}, which is one of the assets to check`);
}

/** The assets of a run, and which part of what was found they are. */
function takePart(found: readonly FoundAsset[], part: Part | undefined) {
  if (part === undefined) return { list: found, part: null };
  if (found.some(({ kind }) => kind === 'stdin'))
    throw new UsageError(
      '--part needs several files, and standard input is one asset; leave --part out',
    );
  const list = shareOf(
    found.map((asset) => ({ ...asset, size: sizeOf(asset) })),
    part,
  );
  const paths = found.map(({ shown }) => shown);
  return { list, part: { ...part, list: listDigest(paths), total: paths.length } };
}

function sizeOf(asset: FoundAsset): number {
  try {
    return asset.kind === 'file' ? statSync(asset.path).size : 0;
  } catch {
    return 0;
  }
}
