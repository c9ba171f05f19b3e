import { type CsvCell, csvTable } from '../report/csv-table.js';
import type { Row } from './row.js';
import type { Rubric } from './rubric.js';
import { showWorth, type Tenths } from './tenths.js';

/** Names of near copies that a cell lists. */
const LISTED = 10;

/**
 * The gradebook: a row a submission, in name order. `points` are the families' points added up, `of`
 * what those families are worth, and the next column the same share of the whole rubric.
 *
 * @param similar Other submissions with the same joints and weights, by name.
 */
export function writeGradebook(
  rows: readonly Row[],
  { families, whole }: Rubric,
  similar: ReadonlyMap<string, readonly string[]>,
): string {
  const header = [
    'submission',
    'points',
    'of',
    `out of ${showWorth(whole)}`,
    ...families.map(({ family }) => family),
    ...['errors', 'warnings', 'notes', 'files', 'look', 'similar to', 'feedback'],
  ];
  return csvTable(
    header,
    rows.map((row) => [
      row.name,
      ...pointCells(row, families.length),
      ...countCells(row),
      row.files,
      row.look.length === 0 ? null : row.look.join('; '),
      similarCell(similar.get(row.name) ?? []),
      row.feedback,
    ]),
  );
}

/** Empty, not zero, where a person has to look first, and for a family that did not apply. */
function pointCells({ grade }: Row, families: number): CsvCell[] {
  if (grade === null) return Array.from({ length: 3 + families }, () => null);
  const { earned, possible, scaled } = grade;
  return [earned, possible, scaled, ...grade.families.map((family) => family.earned)].map(points);
}

function points(tenths: Tenths | null): CsvCell {
  return tenths === null ? null : tenths / 10;
}

function countCells({ read, counts }: Row): CsvCell[] {
  return [counts.error, counts.warning, counts.note].map((count) => (read ? count : null));
}

function similarCell(names: readonly string[]): CsvCell {
  if (names.length === 0) return null;
  const more = names.length - LISTED;
  return `${names.slice(0, LISTED).join('; ')}${more > 0 ? ` and ${more} more` : ''}`;
}
