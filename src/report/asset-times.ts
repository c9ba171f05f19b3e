/**
 * Time that a run spent on an asset. It goes beside the report, not into it: the same asset gives the
 * same report, and a report from elsewhere (a cache, a part of another machine) took this run no time
 * that anybody measured.
 */
export interface AssetTimes {
  /** Milliseconds, from opening the file to the end of its report. */
  readonly total: number;
  /** By rig and rule. A measure that several rules need counts for the first that needs it. */
  readonly rules: readonly {
    /** Index of the rig; null for a rule about the asset. */
    readonly rig: number | null;
    readonly rule: string;
    /** Milliseconds. */
    readonly time: number;
  }[];
}

/** Milliseconds since some moment, never set back. */
export type Timer = () => number;

/** Takes the time of one asset. */
export class Stopwatch {
  private readonly begun: number;
  private readonly rules: AssetTimes['rules'][number][] = [];

  constructor(private readonly now: Timer = () => performance.now()) {
    this.begun = now();
  }

  /** Does the work of a rule and takes its time. */
  rule<T>(rig: number | null, rule: string, work: () => T): T {
    const begun = this.now();
    const result = work();
    this.rules.push({ rig, rule, time: this.now() - begun });
    return result;
  }

  times(): AssetTimes {
    return { total: this.now() - this.begun, rules: this.rules };
  }
}
