import type { WaiverText } from './ledger.js';

/** What became of a ledger in one run: plain data for any report to write. */
export interface LedgerReport {
  /** The ledger, as the user knows it. */
  readonly path: string;
  /** The day it was held to, `YYYY-MM-DD` in UTC. */
  readonly today: string;
  /** Waivers in it. */
  readonly waivers: number;
  /** Findings of the run that are waived. */
  readonly waived: number;
  /** Waivers whose last day is past, in the order of the ledger: they waive nothing. */
  readonly expired: readonly ExpiredWaiver[];
  /**
   * Waivers that fit no finding though an asset of theirs was read and their rule judged it, in the
   * order of the ledger: the fault is mended, or the joint has another name.
   */
  readonly unmatched: readonly LedgerEntry[];
  /** Lines of the waivers in force that fit a finding: what one part does not need another may. */
  readonly fitting: readonly number[];
}

/** A waiver and its line in the ledger, from 1. */
export interface LedgerEntry extends WaiverText {
  readonly line: number;
}

export interface ExpiredWaiver extends LedgerEntry {
  /** Findings it would waive if it still held; null when the run judged no asset of its. */
  readonly findings: number | null;
}
