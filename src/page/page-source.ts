import type { Rule } from '../kit/rule.js';
import type { AssetPictures } from '../report/asset-pictures.js';
import type { Changes } from '../report/changes.js';
import type { HandbookLink } from '../report/handbook-link.js';
import type { AssetReport, ReportHead } from '../report/report-types.js';

/** What a page that is kept current shows of that, and how it sees that it is to be read again. */
export interface PageBench {
  /** Name of the small picture beside the page, whose size is the state. */
  readonly file: string;
  /** The state that this page shows. */
  readonly state: BenchState;
  /** Time of day of the last export. */
  readonly time: string;
  /** What the last export changed; null at the first check. */
  readonly changes: Changes | null;
  /** Why the last export could not be read, so that an earlier one is shown; null where it could. */
  readonly trouble: string | null;
}

/** Pixels of the small picture, 1 or more: one for the run, one for the export. */
export type BenchState = readonly [width: number, height: number];

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
  /** How it keeps itself current; absent for a page that does not. */
  readonly bench?: PageBench | undefined;
}
