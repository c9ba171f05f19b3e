import { type CsvCell, csvTable } from '../report/csv-table.js';
import { firstOf } from './class-words.js';
import type { Rubric } from './rubric.js';
import type { Row } from './submission.js';
import { showWorth } from './tenths.js';

/** Names of near copies that a cell lists. */
const LISTED = 10;

/**
 * The gradebook: a row a submission, in name order. `points` are the families' points added up, `of`
 * what those families are worth, and the next column is the grade: the same share of the whole rubric, of
 * which an unsound rig keeps a part. The verdict says which is one.
 */
export function writeGradebook(
  rows: readonly Row[],
  { families, whole }: Rubric,
  similar: ReadonlyMap<string, readonly string[]>,
): string {
  const header = [
    ...['submission', 'points', 'of', `out of ${showWorth(whole)}`, 'verdict'],
    ...families.map(({ family }) => family),
    ...['errors', 'warnings', 'notes', 'files', 'look', 'similar to', 'feedback'],
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
    ];
  });
  return csvTable(header, cells);
}

/** Empty, not zero, where a person has to look first, and for a family that did not apply. */
function pointCells({ grade, verdict }: Row, families: number): CsvCell[] {
  if (grade === null) return Array.from({ length: 4 + families }, () => null);
  const { earned, possible, scaled } = grade;
  const inPoints = (tenths: number | null): number | null => (tenths === null ? null : tenths / 10);
  return [
    ...[earned, possible, scaled].map(inPoints),
    verdict,
    ...grade.families.map((family) => inPoints(family.earned)),
  ];
}
