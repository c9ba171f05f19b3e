import { UsageError } from '../asset/errors.js';
import { LEVELS } from '../kit/finding.js';
import type { AssetPictures } from './asset-pictures.js';
import type { AssetTimes } from './asset-times.js';
import type { AssetReport, Report, ReportEnd, ReportHead } from './report-types.js';

/**
 * A report in the making: text as it comes, asset by asset, so that a run over thousands keeps none
 * of them back. The pieces in order are the whole report.
 */
export interface ReportStream {
  head(): string;
  /**
   * `pictures` are there for the formats that draw, unless the asset could not be read; `times` for
   * those that list them, unless they are not known.
   */
  asset(asset: AssetReport, pictures: AssetPictures | null, times?: AssetTimes | null): string;
  end(end: ReportEnd): string;
  /** Takes back what was written beside the report, where the report itself cannot be. */
  discard?(): void;
}

/** All of a report through a stream. */
export function writeWith(stream: ReportStream, report: Report): string {
  const assets = report.assets.map((asset) => stream.asset(asset, null));
  return [stream.head(), ...assets, stream.end(report)].join('');
}

/**
 * A stream for a format that needs the whole report at once. Throws UsageError at its end when that is
 * longer than the longest text of the engine.
 */
export function collected(head: ReportHead, write: (report: Report) => string): ReportStream {
  const assets: AssetReport[] = [];
  return {
    head: () => '',
    asset: (asset) => {
      assets.push(asset);
      return '';
    },
    // The assets last: `head` and `end` may be a whole report.
    end: (end) => {
      try {
        return write({ ...head, ...end, assets });
      } catch (error) {
        // The engine has no other sign of it.
        const isTooLong = error instanceof RangeError && error.message === 'Invalid string length';
        if (!isTooLong) throw error;
        throw new UsageError(
          'the report is longer than 512 MiB, the limit for this format; check the files in several runs with --part, or write the report as .json or .txt',
        );
      }
    },
  };
}

/** Sums over assets, one at a time. */
export class Tally {
  readonly #totals = {
    assets: 0,
    verdicts: { sound: 0, unsound: 0, unreadable: 0, 'nothing to judge': 0 },
    counts: { error: 0, warning: 0, note: 0 },
  };

  add({ verdict, counts }: AssetReport): void {
    this.#totals.assets++;
    this.#totals.verdicts[verdict]++;
    for (const level of LEVELS) this.#totals.counts[level] += counts[level];
  }

  totals(): ReportEnd['totals'] {
    return structuredClone(this.#totals);
  }

  /**
   * The worst of the verdicts, of assets that have something to judge if there are any; null where
   * that shows nothing.
   *
   * @param stopped Whether there were more assets to check: what was not looked at may be unsound.
   */
  verdict(stopped = false): ReportEnd['verdict'] {
    const { assets, verdicts } = this.#totals;
    if (verdicts.unreadable > 0) return 'unreadable';
    if (verdicts.unsound > 0) return 'unsound';
    if (stopped || assets === 0) return null;
    return verdicts.sound > 0 ? 'sound' : 'nothing to judge';
  }
}

/** The totals of assets that are all at hand. */
export function totalsOf(assets: readonly AssetReport[]): Pick<ReportEnd, 'totals' | 'verdict'> {
  const tally = new Tally();
  for (const asset of assets) tally.add(asset);
  return { totals: tally.totals(), verdict: tally.verdict() };
}
