import { findUpward } from '../standard/find-upward.js';
import type { AssetPattern } from './asset-pattern.js';

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
  /**
   * Path of the finding's place, exactly; `*` for findings at any joint; null for every finding of
   * the rule in the asset, those about the rig or a mesh too.
   */
  readonly joint: string | null;
  readonly why: string;
  readonly by: string;
  /** Last day it holds, `YYYY-MM-DD` in UTC; null when it has no end. */
  readonly until: string | null;
}

/** The nearest ledger in `folder` or any folder above it; null when there is none. */
export function findLedger(folder: string): string | null {
  return findUpward(folder, LEDGER_NAME);
}

/** Whether a waiver holds on a day, the last one included. */
export function holdsOn({ until }: Pick<WaiverText, 'until'>, day: string): boolean {
  return until === null || day <= until;
}
