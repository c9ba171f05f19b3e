import type { Level } from '../../kit/finding.js';
import type { Verdict } from '../../report/report-types.js';

/** A class as its page shows it. Points are numbers, with one decimal. */
export interface ClassData {
  /** What can be had. */
  readonly outOf: number;
  readonly cards: readonly ClassCard[];
  /** Those that cost points first, and of them those that found fault most often. */
  readonly faults: readonly ClassFault[];
  /** Points of all who have some, hand-in by hand-in; the last is this one. */
  readonly handIns: readonly (readonly number[])[];
  /** The grades that can be had, the best first; none where the class gets points alone. */
  readonly grades: readonly ClassGrade[];
  readonly tool: string;
}

/** A grade, the least points that get it, and how many have it. */
export interface ClassGrade {
  readonly name: string;
  readonly from: number;
  readonly submissions: number;
}

export interface ClassCard {
  readonly name: string;
  readonly verdict: Verdict;
  readonly counts: Readonly<Record<Level, number>>;
  /** Null where a person has to look first. */
  readonly points: number | null;
  /** Its grade, and that of the hand-in before; null where there is none. */
  readonly grade: string | null;
  readonly gradeBefore: string | null;
  /** Points of the hand-ins before; null where it had none. */
  readonly before: readonly (number | null)[];
  readonly change: number | null;
  /** What to fix first; null where nothing has to be. */
  readonly first: string | null;
  /** Why a person should look. */
  readonly look: readonly string[];
  /** A small drawing, or empty. */
  readonly drawing: string;
  readonly feedback: string;
  readonly pages: readonly PageLink[];
}

export interface PageLink {
  readonly name: string;
  readonly address: string;
}

/** A rule that found fault in the class. */
export interface ClassFault {
  readonly rule: string;
  readonly title: string;
  readonly submissions: number;
  readonly findings: number;
  /** Whether they cost anybody points. */
  readonly costs: boolean;
}
