import type { BatchFlags } from '../run/run-batch.js';

/** What the options of `trysquare grade` say. */
export interface GradeFlags extends BatchFlags {
  readonly standard?: string | boolean;
  readonly out?: string;
  readonly replace?: boolean;
  readonly pages?: boolean;
  readonly with?: readonly string[];
  readonly like?: string;
  readonly since?: string;
  readonly due?: string;
  readonly anonymous?: boolean;
  readonly key?: string;
}
