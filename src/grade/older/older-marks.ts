import type { ByName } from './csv-rows.js';

/** The least that a rubric can give, in points: it has one decimal. */
export const LEAST_OUT_OF = 0.1;
/** More points than that, above 0 or below, are a slip; a gradebook has seven digits. */
export const MOST_POINTS = 9_999_999;

/** One hand-in of a course: all submissions that were graded together. */
export interface HandIn {
  /** The points that could be had. */
  readonly outOf: number;
}

/** What one rule found in a submission at one level, a place for each thing. */
export interface RuleFaults {
  readonly rule: string;
  readonly at: readonly string[];
  /** Whether these are notes, as they count for points; older grades do not know. */
  readonly note?: boolean;
  /** The rig of each place, as a number within the submission; left out where there is one, or nobody knows. */
  readonly rigs?: readonly number[];
}

/** What shows that two submissions are of one student although their names differ. */
export interface Traces {
  /** Digest of all files that were graded; null where one of them could not be read. */
  readonly content: string | null;
  /** Digest of the names of all joints; null where there are none. */
  readonly joints: string | null;
}

/** What is kept of a submission from one hand-in to the next. */
export interface OlderMark extends Traces {
  readonly name: string;
  /** Points of each hand-in, in order; null where it has none. */
  readonly marks: readonly (number | null)[];
  /** The grade of the last hand-in that it took part in; null where it had none, or nobody knows. */
  readonly grade: string | null;
  /** Null where it was not graded last time, or nobody knows. */
  readonly faults: readonly RuleFaults[] | null;
}

/** What `--since` names, read. */
export interface OlderMarks {
  /** The path as the user knows it. */
  readonly shown: string;
  /** At least one, in order; the last is the one that is compared with. */
  readonly handIns: readonly HandIn[];
  /** In the order of the file. */
  readonly all: readonly OlderMark[];
  readonly byName: ByName<OlderMark>;
  /** Whether it is known what was at fault, so that more than points can be compared. */
  readonly hasFaults: boolean;
  /** Digest of the rules, levels, limits and points that it was graded with; null where nobody knows. */
  readonly settings: string | null;
  /** Whether its names are codes; null where nobody knows. */
  readonly anonymous: boolean | null;
  /** What the teacher should know of how it was read, a sentence each. */
  readonly notes: readonly string[];
}
