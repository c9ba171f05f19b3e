import { realpathSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { PartFile } from '../../batch/part-file.js';
import { familiesRun } from '../../check/make-report.js';
import type { Settings } from '../../check/settings.js';
import type { AssetPictures } from '../../report/asset-pictures.js';
import type { AssetTimes } from '../../report/asset-times.js';
import { PLAIN } from '../../report/paint.js';
import { collected, type ReportStream } from '../../report/report-stream.js';
import type { AssetReport, ReportEnd, ReportHead, Totals } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { didYouMean } from '../../standard/nearest.js';
import type { LedgerReport } from '../../waivers/ledger-report.js';
import type { Io } from '../io.js';
import { type BaseFlags, baseNames } from '../paths/base-folder.js';
import { isAssetEnding } from '../paths/find-assets.js';
import { ENDINGS, type Format } from './formats.js';
import { refuseExisting, why, writeDocument, writeText } from './write-output.js';

/** Options that say where reports go and what form they have. */
export interface OutputFlags extends BaseFlags {
  readonly format?: Format;
  readonly sarifFor?: 'standard' | 'code-scanning';
  readonly out?: readonly string[];
  readonly replace?: boolean;
  readonly eachRule?: boolean;
  readonly showWaivers?: boolean;
  readonly quiet?: boolean;
  readonly colour: 'never' | 'auto' | 'always';
}

/** One report to write: its form, and the file it goes to or null for standard output. */
export interface Target {
  readonly format: Format;
  readonly path: string | null;
  /** As the user knows it. */
  readonly shown: string;
}

/**
 * The reports that are asked for. Without `--out` one goes to standard output; each `--out` names a
 * file, or standard output as `-`. Throws UsageError, also for a file that is there already.
 */
export function chooseTargets(flags: OutputFlags, io: Io): Target[] {
  const { base, format, out = [], replace, sarifFor } = flags;
  if (replace === true && out.every((name) => name === '-'))
    throw new UsageError('--replace goes with --out FILE');
  if (format !== undefined && out.length > 1)
    throw new UsageError(
      '--format is for one report; with several --out, the ending of each name gives its format',
    );
  const targets =
    out.length === 0
      ? [{ format: format ?? 'text', path: null, shown: '-' }]
      : out.map(
          (name): Target => ({
            format: format ?? formatOf(name),
            path: name === '-' ? null : resolve(io.cwd, name),
            shown: name,
          }),
        );
  if (sarifFor !== undefined && !targets.some((target) => target.format === 'sarif'))
    throw new UsageError('--sarif-for is for SARIF only; add --format sarif');
  if (base !== undefined && !targets.some((target) => target.format === 'sarif'))
    throw new UsageError('--base is for the paths in SARIF only; add --format sarif');
  baseNames(flags, io);
  const seen = new Set<string | null>();
  for (const { path, shown } of targets) {
    const place = path === null ? null : throughLinks(path);
    if (seen.has(place)) throw new UsageError(`--out names ${visible(shown)} twice`);
    seen.add(place);
    if (path === null) continue;
    if (/[\\/]$/.test(shown))
      throw new UsageError(`--out names a folder, ${visible(shown)}; name a file in it`);
    refuseExisting(path, shown, replace === true);
  }
  return targets;
}

/** The path with links to its folder followed, so that one place is known by whatever name. */
function throughLinks(path: string): string {
  try {
    return join(realpathSync(dirname(path)), basename(path));
  } catch {
    // That its folder is not there is told when it is written to.
    return path;
  }
}

/** A name without an ending is a text. Throws UsageError for an ending that tells no form. */
function formatOf(name: string): Format {
  const ending = /\.(\w+)$/i.exec(name)?.[1]?.toLowerCase();
  // That an asset would be written over is told later, by its name.
  if (ending === undefined || isAssetEnding(ending)) return 'text';
  const format = ENDINGS[ending];
  if (format !== undefined) return format;
  const known = Object.keys(ENDINGS).map((item) => `.${item}`);
  throw new UsageError(
    `--out names ${visible(name)}, but no report has that ending; use one of ${known.join(', ')}, or add --format.${didYouMean(`.${ending}`, known)}`,
  );
}

/** Where the reports of a run go, asset by asset. */
export class Outputs {
  private readonly all: readonly Output[];
  private begun = false;

  private constructor(all: readonly Output[]) {
    this.all = all;
  }

  /**
   * @param texts JSON texts of `.gltf` assets by path, filled as they are checked.
   */
  static async open(
    targets: readonly Target[],
    head: ReportHead,
    context: StreamContext,
  ): Promise<Outputs> {
    const all: Output[] = [];
    try {
      for (const target of targets) {
        const stream = await streamFor(target, head, context);
        const sink =
          target.path === null
            ? new StreamSink(context.io, target.format)
            : new FileSink(target, context.flags.replace === true);
        all.push({ stream, sink, hashes: target.format === 'sarif' });
      }
    } catch (error) {
      for (const { sink } of all) sink.discard();
      throw error;
    }
    return new Outputs(all);
  }

  async asset(
    asset: AssetReport,
    pictures: AssetPictures | null,
    times: AssetTimes | null,
  ): Promise<void> {
    // What one form needs does not show in another: each is the same whatever is written beside it.
    const plain = withoutHash(asset);
    await this.begin();
    for (const { stream, sink, hashes } of this.all)
      await sink.write(stream.asset(hashes ? asset : plain, pictures, times));
  }

  async end(end: ReportEnd): Promise<void> {
    await this.begin();
    for (const { stream, sink } of this.all) await sink.write(stream.end(end));
    for (const { sink } of this.all) sink.finish();
  }

  /** Nothing is written before there is something to write: a stop meanwhile leaves nothing behind. */
  private async begin(): Promise<void> {
    if (this.begun) return;
    this.begun = true;
    for (const { stream, sink } of this.all) await sink.write(stream.head());
  }

  /** Leaves no half-written file behind. */
  discard(): void {
    for (const { stream, sink } of this.all) {
      sink.discard();
      stream.discard?.();
    }
  }
}

interface Output {
  readonly stream: ReportStream;
  readonly sink: Sink;
  /** Whether its form tells the hash of each file. */
  readonly hashes: boolean;
}

function withoutHash(asset: AssetReport): AssetReport {
  const { container } = asset;
  // What has none stays as it is: a copy asks for all that has not been made yet.
  return container === null || container.sha256 === null
    ? asset
    : { ...asset, container: { ...container, sha256: null } };
}

interface Sink {
  write(text: string): Promise<void>;
  finish(): void;
  discard(): void;
}

/** Forms whose text is read line by line: they have no escape that a reader of the form would undo. */
const LINES: readonly Format[] = ['text', 'markdown', 'csv'];

class StreamSink implements Sink {
  private readonly io: Io;
  private readonly put: typeof writeText;

  constructor(io: Io, format: Format) {
    this.io = io;
    this.put = LINES.includes(format) ? writeText : writeDocument;
  }

  write(text: string): Promise<void> {
    return text === '' ? Promise.resolve() : this.put(this.io.stdout, text);
  }

  finish(): void {
    // Standard output is not ours to close.
  }

  discard(): void {
    // What is written is written.
  }
}

/** A file that is there whole or not at all: written beside its place, then moved onto it. */
class FileSink implements Sink {
  private readonly target: Target;
  private readonly path: string;
  private readonly over: boolean;
  private part: PartFile | null = null;

  constructor(target: Target, over: boolean) {
    this.target = target;
    this.path = target.path ?? '';
    this.over = over;
    // A place that cannot be written to is told before anything is checked.
    this.guarded(() => new PartFile(this.path).discard());
  }

  async write(text: string): Promise<void> {
    if (text !== '') this.guarded((part) => part().write(Buffer.from(text)));
  }

  finish(): void {
    this.guarded((part) => part().moveTo(this.path, this.over));
  }

  discard(): void {
    this.part?.discard();
  }

  private guarded(work: (part: () => PartFile) => void): void {
    try {
      work(() => {
        this.part ??= new PartFile(this.path);
        return this.part;
      });
    } catch (error) {
      this.discard();
      throw new UsageError(`${visible(this.target.shown)} cannot be written: ${why(error)}`);
    }
  }
}

/** What the writers need besides the report. */
export interface StreamContext {
  readonly flags: OutputFlags;
  readonly settings: Settings;
  readonly texts: ReadonlyMap<string, string>;
  /** Names of all assets of the run, in order. */
  readonly names: readonly string[];
  readonly io: Io;
}

/** The writer of one target. Each is loaded when it is asked for. */
async function streamFor(
  target: Target,
  head: ReportHead,
  context: StreamContext,
): Promise<ReportStream> {
  const { format, path } = target;
  const { flags, settings, texts, io } = context;
  switch (format) {
    case 'html':
      return (await import('./html-output.js')).openHtml(target, head, context);
    case 'json':
      return (await import('../../report/json.js')).jsonStream(head);
    case 'sarif': {
      const { writeSarif } = await import('../../report/sarif.js');
      const shape = flags.sarifFor ?? 'standard';
      const roots = baseNames(flags, io);
      const textOf = (asset: string): string | null => texts.get(asset) ?? null;
      return collected(head, (report) =>
        writeSarif(report, rules, { target: shape, textOf, base: io.cwd, roots }),
      );
    }
    case 'junit': {
      return (await import('../../report/junit.js')).junitStream(head);
    }
    case 'csv': {
      const { writeCsv } = await import('../../report/csv.js');
      return collected(head, (report) => writeCsv(report));
    }
    case 'markdown': {
      const { writeMarkdown } = await import('../../report/markdown.js');
      return collected(head, (report) => writeMarkdown(report));
    }
    case 'text': {
      const { textStream } = await import('../../report/text.js');
      const colour =
        flags.colour === 'always' || (flags.colour === 'auto' && io.colour && path === null);
      const columns = path === null && io.columns !== null ? Math.min(io.columns, 100) : 80;
      const paint = colour ? (await import('../../report/colours.js')).COLOURS : PLAIN;
      return textStream(head, {
        columns,
        paint,
        quiet: flags.quiet === true,
        eachRule: flags.eachRule === true,
        showWaivers: flags.showWaivers === true,
        allFamilies: familiesRun({ ...settings, rules }).length,
      });
    }
  }
}

/** Tells on standard error of waivers that need a look, where no text report on the terminal does. */
export async function tellLedger(
  targets: readonly Target[],
  ledger: LedgerReport | null,
  flags: OutputFlags,
  io: Io,
): Promise<void> {
  if (ledger === null || targets.some(({ format, path }) => format === 'text' && path === null))
    return;
  const { makePen } = await import('../../report/text.js');
  const { ledgerLines } = await import('../../report/text-waivers.js');
  const pen = makePen({ columns: Number.MAX_SAFE_INTEGER, paint: PLAIN });
  for (const line of ledgerLines(ledger, pen, flags.showWaivers === true))
    await writeText(io.stderr, `trysquare: ${line}\n`);
}

/** Says on standard error which files were written. */
export async function tellWritten(
  targets: readonly Target[],
  totals: Totals,
  io: Io,
): Promise<void> {
  const files = targets.filter(({ path }) => path !== null).map(({ shown }) => visible(shown));
  if (files.length === 0) return;
  const verb = files.length === 1 ? 'the report is' : 'the reports are';
  await writeText(
    io.stderr,
    `trysquare: ${verdictWords(totals)}; ${verb} in ${files.join(', ')}\n`,
  );
}

/** `3 sound, 1 unreadable`. */
function verdictWords({ verdicts }: Totals): string {
  const words = (['sound', 'unsound', 'unreadable'] as const)
    .filter((verdict) => verdicts[verdict] > 0)
    .map((verdict) => `${verdicts[verdict]} ${verdict}`);
  return words.length === 0 ? 'nothing checked' : words.join(', ');
}
