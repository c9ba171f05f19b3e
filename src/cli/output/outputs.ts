import type { AssetPictures } from '../../report/asset-pictures.js';
import type { AssetTimes } from '../../report/asset-times.js';
import type { ReportStream } from '../../report/report-stream.js';
import type { AssetReport, ReportEnd, ReportHead } from '../../report/report-types.js';
import { withoutTransforms } from '../../report/without-transforms.js';
import type { Need, RunContext, Target } from './format.js';
import { needsOf } from './formats/index.js';
import { fileSink, type Sink, streamSink } from './sinks.js';

interface Output {
  readonly stream: ReportStream;
  readonly sink: Sink;
  /** What it has of each asset besides the plain report. */
  readonly shows: ReadonlySet<Need>;
}

/** Where the reports of a run go, asset by asset. */
export class Outputs {
  private hasBegun = false;

  private constructor(private readonly all: readonly Output[]) {}

  static async open(
    targets: readonly Target[],
    head: ReportHead,
    context: RunContext,
  ): Promise<Outputs> {
    const all: Output[] = [];
    try {
      for (const target of targets) {
        const { format, path, shown } = target;
        const shows = needsOf([target], context.flags);
        const stream = await format.open(headOf(head, shows), { ...context, target });
        const sink =
          path === null
            ? streamSink(context.io, format)
            : fileSink(path, shown, context.flags.replace === true);
        all.push({ stream, sink, shows });
      }
    } catch (error) {
      for (const { sink } of all) sink.discard();
      throw error;
    }
    return new Outputs(all);
  }

  async asset(
    asset: AssetReport,
    pictures: AssetPictures | null = null,
    times: AssetTimes | null = null,
  ): Promise<void> {
    await this.begin();
    for (const { stream, sink, shows } of this.all)
      await sink.write(stream.asset(shownOf(asset, shows), pictures, times));
  }

  async end(end: ReportEnd): Promise<void> {
    await this.begin();
    for (const { stream, sink } of this.all) await sink.write(stream.end(end));
    for (const { sink } of this.all) sink.finish();
  }

  /** Nothing is written before there is something to write: a stop meanwhile leaves nothing behind. */
  private async begin(): Promise<void> {
    if (this.hasBegun) return;
    this.hasBegun = true;
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

/** What one format needs does not show in another: each is the same whatever is written beside it. */
function headOf(head: ReportHead, shows: ReadonlySet<Need>): ReportHead {
  if (head.transforms === undefined || shows.has('transforms')) return head;
  const { transforms: _, ...plain } = head;
  return plain;
}

/** The same of an asset. */
function shownOf(asset: AssetReport, shows: ReadonlySet<Need>): AssetReport {
  const { container } = asset;
  const hashed = shows.has('content') || container === null;
  const shown = hashed ? asset : { ...asset, container: { ...container, sha256: null } };
  return shows.has('transforms') ? shown : withoutTransforms(shown);
}
