import { UsageError } from '../../asset/errors.js';
import { brief } from '../../house/house-file.js';
import { cellText, nameInCell } from '../../report/csv-table.js';
import { LONGEST_GRADE } from '../../standard/grade-steps.js';
import { ByName, type FoundRow, readTable } from './csv-rows.js';
import { type HandIn, LEAST_OUT_OF, type OlderMark } from './older-marks.js';

/** Notes of one kind that are listed one by one, and lines of one submission. */
const LISTED = 5;
/** Submissions that a note lists. */
const MOST_NAMES = 3;

/** The column of the grade. */
export const GRADE = 'grade';

/** What a gradebook says: points and grades. */
export interface GradebookMarks {
  readonly handIns: readonly HandIn[];
  readonly all: readonly OlderMark[];
  readonly byName: ByName<OlderMark>;
  readonly notes: readonly string[];
}

/** A column of points. */
interface Column {
  readonly name: string;
  readonly outOf: number;
  readonly order: number;
  cell(row: FoundRow): string;
}

/**
 * Reads the points and grades of a gradebook, edited by hand or not: rows in any order, other columns,
 * semicolons or tabs, commas in numbers. A cell of points that is no number is no mark; of two rows for one
 * submission neither counts. A gradebook without a column of grades has none. Throws UsageError when it is no gradebook.
 */
export function readGradebook(text: string, what: string): GradebookMarks {
  const { header, rows } = readTable(text, what, ['submission']);
  const columns = pointColumns(header);
  if (columns.length === 0)
    throw new UsageError(
      `${what} has no column with points, such as "out of 100"; its columns are: ${header.join(', ').slice(0, 200)}`,
    );
  const [nameAt, gradeAt] = [header.indexOf('submission'), header.indexOf(GRADE)];
  const notes: string[] = [];
  const named = rows.flatMap((row) => {
    const name = (row.cells[nameAt] ?? '').trim();
    return name === '' ? [] : [{ name, row }];
  });
  const lines = new Map<string, number[]>();
  for (const { name, row } of named) {
    const at = lines.get(name);
    if (at === undefined) lines.set(name, [row.line]);
    else at.push(row.line);
  }
  for (const [name, at] of lines)
    if (at.length > 1)
      notes.push(
        `has ${at.length} rows for "${brief(name)}" (lines ${listOf(at.map(String), LISTED)}), and none of them is compared; delete all but one`,
      );
  const outside: string[] = [];
  const byName = new ByName<OlderMark>();
  const all = named.flatMap(({ name, row }) => {
    if ((lines.get(name)?.length ?? 0) > 1) return [];
    const marks = columns.map((column) => {
      const cell = column.cell(row);
      const mark = markFrom(cell);
      if (mark === undefined)
        notes.push(
          `line ${row.line}, "${brief(name)}": "${brief(cell.trim())}" is not a number of points and counts as no mark`,
        );
      return mark ?? null;
    });
    const isOutside = (mark: number | null, at: number): boolean =>
      mark !== null && (mark < 0 || mark > (columns[at]?.outOf ?? mark));
    if (marks.some(isOutside)) outside.push(`"${brief(name)}"`);
    const cell = row.cells[gradeAt] ?? '';
    const grade = gradeFrom(cell);
    if (grade === undefined)
      notes.push(
        `line ${row.line}, "${brief(name)}": "${brief(cell.trim())}" is longer than ${LONGEST_GRADE} letters and counts as no grade`,
      );
    const traces = { content: null, joints: null, faults: null };
    const entry = { name: nameInCell(name), marks, grade: grade ?? null, ...traces };
    byName.set(name, entry);
    return [entry];
  });
  const handIns = columns.map(({ outOf }) => ({ outOf }));
  const outsideNote = `has less than 0 points, or more than can be had, for ${listOf(outside, MOST_NAMES)}; they are used as they are`;
  return {
    handIns,
    all,
    byName,
    notes: [
      ...twiceNotes(header, columns),
      ...shortList(notes),
      ...(outside.length > 0 ? [outsideNote] : []),
    ],
  };
}

/** Columns that are there twice: which one was meant, only whoever edited the table knows. */
function twiceNotes(header: readonly string[], columns: readonly Column[]): string[] {
  const used = new Set(['submission', GRADE, ...columns.map(({ name }) => name)]);
  const isTwice = (name: string): boolean => header.indexOf(name) !== header.lastIndexOf(name);
  const twice = [...used].filter(isTwice).map((name) => `"${brief(name)}"`);
  return twice.length === 0
    ? []
    : [
        `has the column ${listOf(twice, LISTED)} more than once, and the first is used; delete the others`,
      ];
}

/** `a, b, c and 4 more`. */
export function listOf(parts: readonly string[], most: number): string {
  const more = parts.length - most;
  return `${parts.slice(0, most).join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
}

function shortList(notes: readonly string[]): string[] {
  const more = notes.length - LISTED;
  return more > 0
    ? [...notes.slice(0, LISTED), `has ${more} more rows that were not read in full`]
    : [...notes];
}

/** The points of each hand-in, the oldest first: `hand-in 1 out of 100` and, the last, `out of 100`. */
function pointColumns(header: readonly string[]): Column[] {
  const columns = header.flatMap((name, at): Column[] => {
    const [, number, written = ''] = /^(?:hand-in (\d{1,6}) )?out of (\d[\d.,]*)$/.exec(name) ?? [];
    const outOf = markFrom(written) ?? 0;
    if (outOf < LEAST_OUT_OF) return [];
    const order = number === undefined ? Number.POSITIVE_INFINITY : Number(number);
    return [{ name, outOf, order, cell: ({ cells }) => cells[at] ?? '' }];
  });
  const seen = new Set<number>();
  const distinct = columns.filter(({ order }) => !seen.has(order) && seen.add(order));
  return distinct.sort((a, b) => (a.order < b.order ? -1 : 1));
}

/** A grade as a cell has it; null for an empty cell, undefined where it is none. */
function gradeFrom(cell: string): string | null | undefined {
  const text = nameInCell(cell.trim());
  if (text === '' || text === '-') return null;
  return text.length > LONGEST_GRADE ? undefined : text;
}

/** Whether two grades are one: a spreadsheet writes `1.0` as `1`, and `true` as `TRUE`. */
export function isSameGrade(a: string, b: string): boolean {
  const key = (grade: string): string | number =>
    markFrom(grade) ?? nameInCell(cellText(grade.trim())).normalize('NFKC').toLowerCase();
  return key(a) === key(b);
}

/** Points as a cell has them; null for an empty cell, undefined where it is no number. */
export function markFrom(cell: string): number | null | undefined {
  const text = cell.trim().replace(/^'/, '');
  if (text === '' || text === '-') return null;
  // Where the comma is of decimals, a spreadsheet writes 89,5.
  return /^-?\d{1,7}([.,]\d{1,9})?$/.test(text) ? Number(text.replace(',', '.')) : undefined;
}
