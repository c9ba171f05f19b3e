import Papa from 'papaparse';
import { UsageError } from '../../asset/errors.js';
import { cellText } from '../../report/csv-table.js';

/** A table that people may have edited, with the columns found by their names. */
export interface FoundTable {
  readonly header: readonly string[];
  readonly rows: readonly FoundRow[];
  readonly delimiter: string;
}

export interface FoundRow {
  /** The line of the file, from 1. */
  readonly line: number;
  readonly cells: readonly string[];
}

/** Separators that spreadsheets write: comma, semicolon (where the comma is of decimals), tab. */
const DELIMITERS = [',', ';', '\t'];
/** Rows above the header, such as a title, or the line with which a spreadsheet is told its separator. */
const MOST_ABOVE = 10;
/** Rows that are read: more of them are no class. */
const MOST_ROWS = 100_000;
/** Columns that a message lists. */
const LISTED = 12;

/**
 * Reads a table whose header has certain columns, whatever separates its cells, and whatever stands above
 * the header. Names of columns are trimmed and in lower case. Throws UsageError when there is no such
 * header, and where quotes make one cell of several rows: whose row is lost then, nobody would see.
 *
 * @param text Without a byte order mark.
 * @param what What it is and the path as the user knows it: `the gradebook marks.csv`.
 */
export function readTable(text: string, what: string, columns: readonly string[]): FoundTable {
  if (text.trim() === '') throw new UsageError(`${what} is empty`);
  for (const delimiter of DELIMITERS) {
    const rows = rowsOf(text, delimiter);
    const at = rows.slice(0, MOST_ABOVE).findIndex(({ cells }) => {
      const names = cells.map(columnName);
      return columns.every((column) => names.includes(column));
    });
    const header = rows[at]?.cells.map(columnName);
    if (header === undefined) continue;
    if (rows.length > MOST_ROWS)
      throw new UsageError(
        `${what} has ${rows.length} rows (limit ${MOST_ROWS}); delete those that are of no submission`,
      );
    const broken = rows.find(({ isBroken }) => isBroken);
    if (broken !== undefined)
      throw new UsageError(
        `${what} is wrong at line ${broken.line}: its quotes do not match, so that the rows below are taken for a part of it; mend the quotes, or save the table again in a spreadsheet`,
      );
    return { header, rows: rows.slice(at + 1), delimiter };
  }
  const [first] = rowsOf(text, ',');
  const names = (first?.cells ?? []).map(columnName).filter((name) => name !== '');
  const listed = names.slice(0, LISTED).join(', ');
  const wanted = columns.map((column) => `"${column}"`).join(' and ');
  throw new UsageError(
    `${what} has no column ${wanted}; its first row is: ${listed.slice(0, 200)}. Name a file that "trysquare grade" wrote`,
  );
}

function columnName(cell: string): string {
  return cell.trim().replace(/\s+/g, ' ').toLowerCase();
}

function rowsOf(text: string, delimiter: string): (FoundRow & { readonly isBroken: boolean })[] {
  const rows: (FoundRow & { readonly isBroken: boolean })[] = [];
  let [from, line] = [0, 1];
  // Programs that add rows do not all end them in the same way, and one end is taken for the whole.
  const lines = text.replace(/\r\n?/g, '\n');
  Papa.parse<string[]>(lines, {
    delimiter,
    newline: '\n',
    skipEmptyLines: 'greedy',
    step: ({ data, errors, meta }) => {
      // Within one line, quotes that do not match harm nobody else.
      const isBroken =
        errors.some(({ type }) => type === 'Quotes') && data.some((cell) => cell.includes('\n'));
      rows.push({ line, cells: data, isBroken });
      line += linesIn(lines, from, meta.cursor);
      from = meta.cursor;
    },
  });
  return rows;
}

function linesIn(text: string, from: number, to: number): number {
  let count = 0;
  for (let at = from; at < to; at++) if (text[at] === '\n') count++;
  return count;
}

/**
 * What was written for each name, found again by a name: as the cell has it, else as a spreadsheet may
 * have left it, without the apostrophe that keeps a cell from being a formula, or as the number that it
 * took it for (`00012` as `12`, `1e5` as `1.00E+05`).
 */
export class ByName<T> {
  private readonly exact = new Map<string, T>();
  private readonly bare = new Map<string, T | null>();

  /** @param cell A name as a cell has it. */
  set(cell: string, value: T): void {
    this.exact.set(cell, value);
    const bare = bareName(cell);
    this.bare.set(bare, this.bare.has(bare) ? null : value);
  }

  has(cell: string): boolean {
    return this.exact.has(cell);
  }

  /** @param name A name as the file system has it. */
  get(name: string): T | undefined {
    return this.exact.get(cellText(name)) ?? this.bare.get(bareName(name)) ?? undefined;
  }
}

/** A name of digits that a spreadsheet takes for a number; longer ones lose digits there. */
const NUMBER = /^\d{1,15}(?:\.\d{1,9})?(?:e\+?\d{1,2})?$/i;

function bareName(name: string): string {
  const bare = cellText(name).replaceAll("'", '').trim().normalize('NFC');
  return NUMBER.test(bare) ? String(Number(bare)) : bare;
}
