import type { AssetPictures } from '../../report/asset-pictures.js';
import type { AssetTimes } from '../../report/asset-times.js';
import type { ReportStream } from '../../report/report-stream.js';
import type { AssetReport, ReportEnd, ReportHead } from '../../report/report-types.js';
import type { RunContext, Target } from './format.js';
import { fileSink, type Sink, streamSink } from './sinks.js';

interface Output {
  readonly stream: ReportStream;
  readonly sink: Sink;
  /** Whether its format gives the hash of each file. */
  readonly hashes: boolean;
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
        const stream = await format.open(head, { ...context, target });
        const sink =
          path === null
            ? streamSink(context.io, format)
            : fileSink(path, shown, context.flags.replace === true);
        all.push({ stream, sink, hashes: format.needs?.includes('content') === true });
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
    // What one format needs does not show in another: each is the same whatever is written beside it.
    const { container } = asset;
    const plain = container && { ...asset, container: { ...container, sha256: null } };
    await this.begin();
    for (const { stream, sink, hashes } of this.all)
      await sink.write(stream.asset(hashes ? asset : (plain ?? asset), pictures, times));
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
