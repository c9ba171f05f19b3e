/** What one asset may take before it is given up as unreadable. */
export interface TaskLimits {
  readonly seconds: number;
  /** Of the worker's heap; buffers are bounded by the reader. MiB. */
  readonly mebibytes: number;
}

/** Far above what a character needs: 10 million vertices take some 20 s. A smaller heap costs time. */
export const DEFAULT_LIMITS: TaskLimits = { seconds: 120, mebibytes: 2048 };

/** What is done to an asset, as messages call it: `check`, so `checks` and `checking`. */
export type Verb = 'check' | 'mend';

/** Why an asset is given up that takes too long. */
export function tooLong(seconds: number, verb: Verb = 'check'): string {
  return `${verb}ing it takes longer than the limit of ${seconds} s; set another limit with --time-limit`;
}

/** Why an asset is given up that takes too much memory. */
export function tooMuchMemory(mebibytes: number, verb: Verb = 'check'): string {
  return `${verb}ing it takes more memory than the limit of ${mebibytes} MiB; set another limit with --memory-limit`;
}
