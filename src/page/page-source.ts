import type { Rule } from '../kit/rule.js';
import type { AssetPictures } from '../report/asset-pictures.js';
import type { HandbookLink } from '../report/handbook-link.js';
import type { AssetReport, ReportHead } from '../report/report-types.js';

/** What a page is written from. */
export interface PageSource {
  readonly head: ReportHead;
  readonly asset: AssetReport;
  /** Null for an asset that could not be read. */
  readonly pictures: AssetPictures | null;
  readonly rules: readonly Rule[];
  /** The viewer, a classic script. */
  readonly script: string;
  /** Address of the page that leads here; null for a page on its own. */
  readonly index: string | null;
  /** Points that the asset was given, in words; null where it was not graded. */
  readonly points: string | null;
  /** Rules in the order that they are to be worked through; null for that of their levels. */
  readonly order: readonly string[] | null;
  /** The model of the class that is laid over it; absent where there is none. */
  readonly model?: string;
  /** Leads to the entry of a rule; absent where there is no handbook. */
  readonly handbook?: HandbookLink;
}
