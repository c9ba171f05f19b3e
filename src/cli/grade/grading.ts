import type { ApprovedTask } from '../../batch/approved-task.js';
import type { CheckResult } from '../../batch/task.js';
import type { OlderMarks } from '../../grade/older/older-marks.js';
import type { Rubric } from '../../grade/rubric.js';
import type { Marked } from '../../grade/submission.js';
import type { HandbookLink } from '../../report/handbook-link.js';
import type { AssetReport } from '../../report/report-types.js';
import type { ChosenSettings } from '../run/choose-settings.js';

/** What a class is graded by. */
export interface Grading extends ChosenSettings {
  readonly rubric: Rubric;
  /** The model that all are laid over; null for none. */
  readonly like: ApprovedTask | null;
  /** Leads from the feedback, and from the pages beside it, to the entry of a rule. */
  readonly handbook: HandbookLink | null;
  /** The page of it that goes beside the gradebook; null where there is none, or it is elsewhere. */
  readonly handbookPage: string | null;
}

/** What a class is graded with besides its standard. */
export interface Term {
  readonly due: Date | null;
  readonly older: OlderMarks | null;
  /** Digest of the rules and limits of this run. */
  readonly settings: string;
  /** Whether names are codes. */
  readonly anonymous: boolean;
  /** Takes out of a report what nobody is to see. */
  clean(asset: AssetReport): AssetReport;
}

/** What is marked as one: a submission, or one animal of it. */
export interface Piece {
  readonly marked: Marked;
  /** What was checked for it, and which rig of each; null for all of them. */
  readonly checked: readonly CheckedRig[];
}

export interface CheckedRig {
  readonly report: AssetReport;
  /** The report of its whole file. */
  readonly whole: AssetReport;
  readonly pictures: CheckResult['pictures'];
  readonly rig: number | null;
}
