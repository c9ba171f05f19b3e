/** What became of a ledger in one run: plain data for any report to write. */
export interface LedgerReport {
  /** The ledger, as the user knows it. */
  readonly path: string;
  /** The day that last days were compared with, `YYYY-MM-DD` in UTC. */
  readonly today: string;
  /** Waivers in it. */
  readonly waivers: number;
  /** Findings of the run that are waived. */
  readonly waived: number;
  /** Findings that fail though waivers in force are about them: they are more than was accepted. */
  readonly exceeded: number;
  /** Waivers of assets of the run whose last day is past, in ledger order: they waive nothing. */
  readonly expired: readonly ExpiredWaiver[];
  /**
   * Waivers that match no finding, in ledger order, though an asset of theirs was read and their
   * rule judged it, or it is gone: the fault is mended, or the asset or joint was renamed. `gone`
   * says whether the asset is, as far as the run itself knows; a report that was written does not.
   */
  readonly unmatched: readonly (LedgerEntry & { readonly gone?: boolean })[];
  /** Waivers in force that match a finding and do not say what they accepted, in ledger order. */
  readonly open: readonly LedgerEntry[];
  /** Lines of the waivers in force that match a finding: what one part does not need another may. */
  readonly fitting: readonly number[];
}

/** A waiver and its line in the ledger, from 1. */
export interface LedgerEntry {
  readonly line: number;
  readonly rule: string;
  /** As the ledger has it: a path or a pattern, relative to the ledger's folder. */
  readonly asset: string;
  /** The joint, or the first place that it lists; `*` for any joint; null for all of the asset. */
  readonly joint: string | null;
  /** How many more places it lists. */
  readonly others: number;
  readonly why: string;
  readonly by: string;
  /** Last day on which it applies, `YYYY-MM-DD` in UTC; null when it has no end. */
  readonly until: string | null;
}

export interface ExpiredWaiver extends LedgerEntry {
  /** Findings it would waive if it still applied; null when its asset is gone. */
  readonly findings: number | null;
}
