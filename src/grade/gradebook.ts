import { type CsvCell, csvTable } from '../report/csv-table.js';
import { firstOf } from './class-words.js';
import { type Course, SINCE_WORDS } from './course.js';
import { placesIn, withoutNotes } from './fault-changes.js';
import { gradeOf } from './grade-of.js';
import { lateWords } from './late.js';
import type { RuleFaults } from './older/older-marks.js';
import { GRADE } from './older/read-gradebook.js';
import type { Rubric } from './rubric.js';
import type { Absent } from './since.js';
import type { Row } from './submission.js';
import { showWorth, type Tenths } from './tenths.js';

/** Names of near copies that a cell lists. */
const LISTED = 10;
const GRADE_BEFORE = 'grade before';

/**
 * The gradebook: a row a submission, in name order. `points` are the families' points added up; `of` is
 * what those families are worth. The next column is what counts: the same share of the whole rubric, or the
 * most that such a rig can get. The grade of it stands in the last column, where it moves no other:
 * formulas of teachers may count columns.
 */
export function writeGradebook(
  rows: readonly Row[],
  rubric: Rubric,
  similar: ReadonlyMap<string, readonly string[]>,
  { due = null, course = null }: GradebookOptions = {},
): string {
  const { families, whole, grading } = rubric;
  const hasGrades = grading.grades.length > 0;
  const header = [
    ...['submission', 'points', 'of', `out of ${showWorth(whole)}`, 'verdict'],
    ...families.map(({ family }) => family),
    ...['errors', 'warnings', 'notes', 'files', 'look', 'similar to', 'feedback'],
    ...(due === null ? [] : ['late']),
    ...(course === null ? [] : courseHeader(course, whole)),
    ...(hasGrades && course !== null ? [GRADE_BEFORE] : []),
    ...(hasGrades ? [GRADE] : []),
  ];
  const cells = rows.map((row) => {
    const { name, read, counts, files, look, feedback } = row;
    return [
      name,
      ...pointCells(row, families.length),
      ...[counts.error, counts.warning, counts.note].map((count) => (read ? count : null)),
      files,
      look.join('; ') || null,
      firstOf(similar.get(name) ?? [], LISTED, '; ') || null,
      feedback,
      ...(due === null ? [] : [row.late > 0 ? lateWords(row.late) : null]),
      ...(course === null ? [] : courseCells(row, course)),
      ...(hasGrades && course !== null ? [row.since?.gradeBefore ?? null] : []),
      ...(hasGrades ? [gradeOf(row.grade?.scaled ?? null, rubric)?.name ?? null] : []),
    ];
  });
  const absent = course?.absent.map((each) => absentCells(each, header, whole)) ?? [];
  return csvTable(header, [...cells, ...absent]);
}

export interface GradebookOptions {
  readonly due?: Date | null;
  readonly course?: Course | null;
}

/** The columns of the hand-ins before: their points as they would be of this rubric, so that they compare. */
function courseHeader({ older }: Course, whole: Tenths): string[] {
  const marks = older.handIns.map((_, at) => markColumn(at, whole));
  return [...marks, 'change', 'mended', 'new faults', 'since', 'perhaps the same as'];
}

function markColumn(at: number, whole: Tenths): string {
  return `hand-in ${at + 1} out of ${showWorth(whole)}`;
}

function courseCells({ name, since }: Row, { older, perhaps }: Course): CsvCell[] {
  const marks = older.handIns.map((_, at) => pointsCell(since?.before[at] ?? null));
  const { change = null, faults = null, kind = null } = since ?? {};
  // What is found in the same files, and was not, is nothing that anybody mended or made.
  const counted = (found: readonly RuleFaults[]): number =>
    kind === 'same files' ? 0 : placesIn(withoutNotes(found));
  return [
    ...marks,
    pointsCell(change),
    faults === null ? null : counted(faults.mended),
    faults === null ? null : counted(faults.added),
    since === null ? null : SINCE_WORDS[since.kind],
    firstOf(perhaps.get(name) ?? [], LISTED, '; ') || null,
  ];
}

/** A row for somebody who did not hand in again: no points now, and the older ones. */
function absentCells(
  { name, before, gradeBefore }: Absent,
  header: readonly string[],
  whole: Tenths,
): CsvCell[] {
  const known = new Map<string, CsvCell>([
    ['submission', name],
    ['since', SINCE_WORDS.absent],
    [GRADE_BEFORE, gradeBefore],
    ...before.map((points, at) => [markColumn(at, whole), pointsCell(points)] as const),
  ]);
  return header.map((column) => known.get(column) ?? null);
}

function pointsCell(points: Tenths | null): CsvCell {
  return points === null ? null : points / 10;
}

/** Empty, not zero, where a person has to look first, and for a family that did not apply. */
function pointCells({ grade, verdict }: Row, families: number): CsvCell[] {
  if (grade === null) return Array.from({ length: 4 + families }, () => null);
  const { earned, possible, scaled } = grade;
  return [
    ...[earned, possible, scaled].map(pointsCell),
    verdict,
    ...grade.families.map((family) => pointsCell(family.earned)),
  ];
}
