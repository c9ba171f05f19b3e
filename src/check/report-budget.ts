import { AssetError } from '../asset/errors.js';
import { ASSET_LIMITS } from '../asset/limits.js';

const SHORTEN = 'shorten the names or split the file';
const LEAVE_OUT = 'leave out --transforms';

/** What the letters of a report are spent on, and what to do where that is too much. */
const SHARES = {
  joints: ['the names and paths of its joints', SHORTEN],
  findings: ['its findings', SHORTEN],
  rigs: ['its rigs, and there are too many', SHORTEN],
  transforms: ['the transforms of its joints', LEAVE_OUT],
  clips: ['its clips and their channels', LEAVE_OUT],
} as const;
type Share = keyof typeof SHARES;

/**
 * How much one asset may put into the report of a run. A file of half a megabyte can multiply:
 * every path repeats the names above it, every finding lists its places. Counted while the report
 * is made, since text that several values share costs no memory until it is written out.
 */
export class ReportBudget {
  private readonly spent = new Map<Share, number>();
  private total = 0;

  /** @param most Letters. */
  constructor(private readonly most: number = ASSET_LIMITS.reportLetters) {}

  /** Returns what is put into the report. Throws AssetError when it does not fit any more. */
  take<T>(share: Share, value: T): T {
    const letters = lettersOf(value);
    this.spent.set(share, (this.spent.get(share) ?? 0) + letters);
    this.total += letters;
    if (this.total > this.most) throw new AssetError(this.reason());
    return value;
  }

  /**
   * Throws AssetError when what is yet to be measured has no room in the report: that can take long,
   * and nothing of it would be told.
   */
  foresee(share: Share, values: readonly unknown[]): void {
    const [total, spent] = [this.total, this.spent.get(share) ?? 0];
    for (const value of values) this.take(share, value);
    this.total = total;
    this.spent.set(share, spent);
  }

  private reason(): string {
    const [largest] = [...this.spent].sort(([, a], [, b]) => b - a);
    const [what, advice] = SHARES[largest?.[0] ?? 'findings'];
    return `its report would have more than ${this.most} letters, which is the limit for one file. Most of them are for ${what}; ${advice}`;
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
