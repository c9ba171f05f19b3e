import { statSync } from 'node:fs';
import { UsageError } from '../../asset/errors.js';
import type { ApprovedTask } from '../../batch/approved-task.js';
import { listDigest, type Part, shareOf } from '../../batch/part.js';
import { reportHead } from '../../check/make-report.js';
import type { PageBench } from '../../page/page-source.js';
import type { AssetPictures } from '../../report/asset-pictures.js';
import { Tally } from '../../report/report-stream.js';
import type { AssetReport, PartReport, ReportEnd, ReportHead } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { EXIT, exitCode } from '../exit-codes.js';
import type { Io } from '../io.js';
import type { OutputFlags, Target } from '../output/format.js';
import { isRead, needsOf } from '../output/formats/index.js';
import { Outputs } from '../output/outputs.js';
import { tellOutputs } from '../output/tell-outputs.js';
import { tell, tellFailure } from '../output/write-output.js';
import type { FoundAsset } from '../paths/find-assets.js';
import { isSameFile } from '../paths/link-end.js';
import type { ChosenSettings } from './choose-settings.js';
import type { HeldToOf } from './held-to.js';
import { type LedgerFlags, openLedgerRun } from './ledger-use.js';
import { type BatchFlags, checkFound } from './run-batch.js';
import { FailedRules } from './tell-failed.js';
import type { Workers } from './workers.js';

/** Options of a command that checks a list of assets and reports what it finds. */
export interface ListFlags extends OutputFlags, BatchFlags, LedgerFlags {
  readonly part?: Part;
  /** Patterns of what a search leaves out. */
  readonly without?: readonly string[];
}

interface ListContext extends ChosenSettings {
  /** What the user named: an asset is gone only from a folder among them. */
  readonly paths: readonly string[];
  readonly targets: readonly Target[];
  readonly flags: ListFlags;
  readonly io: Io;
  readonly started: Workers | null;
  /** What each asset is checked against; the standard of the run where absent. */
  readonly heldToOf?: HeldToOf;
  /** What each asset has to fit. */
  readonly approvedOf: (asset: FoundAsset) => ApprovedTask | null;
  /** How a page keeps itself current; absent where nothing is watched. */
  readonly bench?: PageBench | undefined;
  /** Is handed each asset once it is reported. */
  readonly onAsset?: (head: ReportHead, asset: AssetReport, pictures: AssetPictures | null) => void;
  /** Keeps the reports by their paths. */
  readonly reports?: Map<string, AssetReport> | null;
}

/** Checks a list and writes its reports. Returns the exit code. */
export async function reportList(
  { list, part }: { readonly list: readonly FoundAsset[]; readonly part: PartReport | null },
  context: ListContext,
): Promise<number> {
  const { settings, standard, above, paths, targets, flags, io } = context;
  const { started, heldToOf, approvedOf, bench, reports = null } = context;
  const texts = new Map<string, string>();
  const ledger = await openLedgerRun(flags, settings, io, paths);
  const needs = needsOf(targets, flags);
  const head = reportHead(settings, standard, part, {
    ...(above.length > 0 && { standardAbove: above }),
    ...(needs.has('transforms') && { transforms: true as const }),
  });
  const names = list.map(({ shown }) => shown);
  const outputs = await Outputs.open(targets, head, { flags, settings, texts, names, bench, io });
  const tally = new Tally();
  const failed = new FailedRules(io);
  try {
    const run = checkFound(list, {
      settings,
      ...(heldToOf && { settingsOf: (path: string) => heldToOf(path).settings }),
      needs,
      flags,
      io,
      started,
      approvedOf,
    });
    for await (const { report, text, pictures, times } of run.results) {
      const { standard: own, ran } = heldToOf?.(report.path) ?? {};
      const held = own === undefined ? report : { ...report, standard: own };
      const asset = ledger?.asset(held, [], ran) ?? held;
      if (text !== null) texts.set(asset.path, text);
      // A report that a person reads as it comes says so itself.
      if (asset.unreadable !== null && !isRead(targets))
        await tellFailure(io, asset.path, 'read', asset.unreadable);
      await failed.add(asset);
      tally.add(asset);
      reports?.set(asset.path, asset);
      await outputs.asset(asset, pictures, times);
      context.onAsset?.(head, asset, pictures ?? null);
    }
    const totals = tally.totals();
    const partial = run.stopped() ? { checked: totals.assets, of: list.length } : null;
    const verdict = tally.verdict(partial !== null);
    const end: ReportEnd = { partial, ledger: ledger?.end() ?? null, totals, verdict };
    await outputs.end(end);
    await tellOutputs(targets, { part, ...end }, names, flags, io);
    await failed.end();
    if (partial === null) return exitCode(verdict, failed.any);
    await tell(io, `the run was stopped: ${partial.checked} of ${partial.of} checked`);
    return EXIT.stopped;
  } catch (error) {
    outputs.discard();
    throw error;
  }
}

/** A report must not be written over what it is about. */
export function refuseAssets(targets: readonly Target[], found: readonly FoundAsset[]): void {
  const files = found.flatMap((asset) => (asset.kind === 'file' ? [asset.path] : []));
  for (const { path, shown } of targets)
    if (path !== null && files.some((file) => isSameFile(file, path)))
      throw new UsageError(`--out names ${visible(shown)}, which is one of the assets to check`);
}

/** The assets of a run, and which part of what was found they are. */
export function takePart(found: readonly FoundAsset[], part: Part | undefined) {
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
