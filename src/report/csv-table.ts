import Papa from 'papaparse';
import { rounded } from './rounded.js';
import { visible } from './visible.js';

/** Text, a true number, or an empty cell. */
export type CsvCell = string | number | null;

/**
 * A table as RFC 4180 has it: a header row, CRLF after every row, quotes doubled. Text is always
 * quoted; numbers are bare, and those without an end are empty cells.
 *
 * Text may come from a file: it is made harmless to spreadsheets (CWE-1236), NUL is dropped, and
 * controls are shown as escapes.
 *
 * @param options.bom Whether to begin with a byte order mark.
 * @param options.delimiter Between cells; a comma by default.
 * @throws RangeError when a row has not as many cells as the header, which is a bug.
 */
export function csvTable(
  header: readonly string[],
  rows: Iterable<readonly CsvCell[]>,
  { bom = false, delimiter = ',' }: { readonly bom?: boolean; readonly delimiter?: string } = {},
): string {
  const table = [header.map(safeCell)];
  for (const row of rows) {
    if (row.length !== header.length)
      throw new RangeError(`a row of ${row.length} cells in a table of ${header.length} columns`);
    table.push(row.map(safeCell));
  }
  const text = Papa.unparse(table, {
    newline: '\r\n',
    delimiter,
    quotes: (cell) => typeof cell === 'string' && cell !== '',
  });
  return `${bom ? '\ufeff' : ''}${text}\r\n`;
}

function safeCell(cell: CsvCell): CsvCell {
  if (typeof cell === 'string') return cellText(cell);
  return cell === null ? null : rounded(cell);
}

/** A text as a cell of a table has it. */
export function cellText(text: string): string {
  return visible(text.replaceAll('\0', '').replace(FORMULA, "$1'"));
}

/** A name as it was before `cellText` kept it from being a formula. */
export function nameInCell(cell: string): string {
  return cell.replace(/^'(?=[\s"']*[=+\-@\uff1d\uff0b\uff0d\uff20])/, '');
}

/**
 * Where a spreadsheet might begin a formula. Source: OWASP, CSV Injection: the first characters =, +,
 * -, @, tab, CR and LF, the first four in their full-width forms as well, which some programs read as
 * the plain ones, and what follows a separator or quote, with which a text can begin a cell of
 * its own. A program that separates at semicolons does not see our quotes, so each of those counts as
 * a beginning. Spaces before a formula are skipped by some programs (common practice).
 */
const FORMULA = /(^|;)(?=[\s"']*[=+\-@\uff1d\uff0b\uff0d\uff20\t\r\n])/g;
