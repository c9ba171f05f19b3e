import type { AssetPattern } from '../house/asset-pattern.js';
import { findUpward } from '../house/find-upward.js';
import type { Level } from '../kit/finding.js';

/** The name a ledger is looked for under. */
export const LEDGER_NAME = 'trysquare.waivers.json';

/** The house's list of findings that may stand, each with who said so, why and until when. */
export interface Ledger {
  /** As the user knows it. */
  readonly path: string;
  /** In the order of the file. */
  readonly waivers: readonly Waiver[];
}

export interface Waiver extends WaiverText {
  /** Its line in the ledger, from 1. */
  readonly line: number;
  readonly pattern: AssetPattern;
}

/** A waiver as it is written. */
export interface WaiverText {
  readonly rule: string;
  /** Pattern of assets, relative to the ledger's folder. */
  readonly asset: string;
  /** Name of the rig; left out where the asset has one rig, or any may be meant. */
  readonly rig?: string;
  /** Which of its faults the rule reports; left out for any. */
  readonly aspect?: string;
  /**
   * Path of the finding's place, exactly; `*` for findings at any joint; null for every finding of
   * the rule in the asset, those about the rig or a mesh too.
   */
  readonly joint: string | null;
  /** What is worse fails. Left out by hand, all that the waiver is about may stand. */
  readonly accepted?: Accepted;
  readonly why: string;
  readonly by: string;
  /** Last day in force, `YYYY-MM-DD` in UTC; null when it has no end. */
  readonly until: string | null;
}

/** How bad it was when it was accepted. */
export interface Accepted {
  readonly level: Level;
  /** The worst of it, in `unit`; null where nothing was measured. */
  readonly measured: number | null;
  readonly unit: string;
  /** Other measures of it, by unit; left out for none. */
  readonly also?: ReadonlyMap<string, number>;
  /** Left out where no vertices are counted. */
  readonly vertices?: Vertices;
  /** Rules that stepped back for the finding: what they found is accepted with it. Left out for none. */
  readonly insteadOf?: readonly string[];
  /**
   * Each place that is covered (see `place-key.ts`) with how bad it was there, null where all were
   * measured as one; null for any place that the waiver is about.
   */
  readonly places: ReadonlyMap<string, number | null> | null;
}

/** How many vertices are at fault, and how many the rig moves. */
export interface Vertices {
  readonly short: number;
  readonly of: number;
}

/** The nearest ledger in `folder` or any folder above it; null when there is none. */
export function findLedger(folder: string): string | null {
  return findUpward(folder, LEDGER_NAME);
}

/** Whether a waiver is in force on a day, the last one included. */
export function holdsOn({ until }: Pick<WaiverText, 'until'>, day: string): boolean {
  return until === null || day <= until;
}
