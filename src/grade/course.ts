import { gradeOf } from './grade-of.js';
import type { GradesFile } from './older/grades-file.js';
import type { OlderMark, OlderMarks } from './older/older-marks.js';
import type { Rubric } from './rubric.js';
import { type Absent, absentOf, perhapsSame } from './since.js';
import type { Row } from './submission.js';
import { type Swapped, swappedFiles } from './swapped.js';
import type { Tenths } from './tenths.js';

/** A class over its hand-ins, once all submissions of this one are graded. */
export interface Course {
  readonly older: OlderMarks;
  readonly absent: readonly Absent[];
  /** For a submission that is new, the names of absent ones that it may be. */
  readonly perhaps: ReadonlyMap<string, readonly string[]>;
  readonly swapped: readonly Swapped[];
}

/** What became of a submission, for a cell or a list. */
export const SINCE_WORDS = {
  changed: 'handed in again',
  'same files': 'the same files as before',
  new: 'new',
  absent: 'not handed in again',
} as const;

export function courseOf(rows: readonly Row[], older: OlderMarks, rubric: Rubric): Course {
  const absent = absentOf(
    rows.map(({ name }) => name),
    older,
    rubric,
  );
  const perhaps = new Map(
    rows
      .filter(({ since }) => since?.kind === 'new')
      .map(({ name, record }) => [name, perhapsSame(name, record, absent)]),
  );
  return { older, absent, perhaps, swapped: swappedFiles(rows, older, perhaps) };
}

/** All that the next hand-in needs to know. Points of earlier ones are kept as they would be of this rubric. */
export function gradesFileOf(
  rows: readonly Row[],
  rubric: Rubric,
  course: Course | null,
  head: Pick<GradesFile, 'settings' | 'anonymous'>,
): GradesFile {
  const outOf = rubric.whole / 10;
  const earlier = course?.older.handIns.length ?? 0;
  const points = (tenths: Tenths | null): number | null => (tenths === null ? null : tenths / 10);
  const present = rows.map(({ name, grade, since, record }): OlderMark => {
    const before = since?.before ?? [];
    const now = grade?.scaled ?? null;
    const last = now === null ? since?.gradeBefore : gradeOf(now, rubric)?.name;
    return { name, ...record, marks: [...before, now].map(points), grade: last ?? null };
  });
  const absent = (course?.absent ?? []).map(
    ({ older, before, gradeBefore: grade }): OlderMark => ({
      ...older,
      marks: [...before, null].map(points),
      grade,
    }),
  );
  const handIns = Array.from({ length: earlier + 1 }, () => ({ outOf }));
  return { ...head, handIns, submissions: [...present, ...absent] };
}
