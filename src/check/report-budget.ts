import { AssetError } from '../asset/errors.js';
import { ASSET_LIMITS } from '../asset/limits.js';

/** What the letters of a report are spent on. */
const SHARES = {
  joints: 'the names and paths of its joints',
  findings: 'its findings',
  rigs: 'its rigs, and there are too many',
};
type Share = keyof typeof SHARES;

/**
 * How much one asset may put into the report of a run. A file of half a megabyte can multiply:
 * every path repeats the names above it, every finding lists its places. Counted while the report
 * is made, since text that several values share costs no memory until it is written out.
 */
export class ReportBudget {
  private readonly spent: Record<Share, number> = { joints: 0, findings: 0, rigs: 0 };
  private total = 0;

  /** @param most Letters. */
  constructor(private readonly most: number = ASSET_LIMITS.reportLetters) {}

  /** Returns what is put into the report. Throws AssetError when it does not fit any more. */
  take<T>(share: Share, value: T): T {
    const letters = lettersOf(value);
    this.spent[share] += letters;
    this.total += letters;
    if (this.total > this.most) throw new AssetError(this.reason());
    return value;
  }

  private reason(): string {
    const shares: readonly Share[] = ['joints', 'findings', 'rigs'];
    const largest = shares.reduce((a, b) => (this.spent[b] > this.spent[a] ? b : a));
    return `its report would have more than ${this.most} letters, which is the limit for one file. Most of them are for ${SHARES[largest]}; shorten the names or split the file`;
  }
}

/** Letters of a number, `true`, or what parts two values, in about any form. */
const SHORT = 8;

/** About how long a value is when it is written down. */
function lettersOf(value: unknown): number {
  if (typeof value === 'string') return value.length + SHORT;
  if (typeof value !== 'object' || value === null) return SHORT;
  return Object.values(value).reduce((sum, part) => sum + lettersOf(part), SHORT);
}
