import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { XmlDocument } from 'libxml2-wasm';
import { findProgram } from './find-program.js';

/** A spreadsheet to read tables with, or null: the one that `SOFFICE` names, else one on the path. */
export const spreadsheetPath: string | null = findProgram('SOFFICE', 'soffice');

/** What to tell when there is none. */
export const NO_SPREADSHEET =
  'No LibreOffice was found, so the test that needs a spreadsheet is skipped. Install it (Debian and Ubuntu: apt-get install --no-install-recommends libreoffice-calc) or name its soffice in the environment variable SOFFICE.';

if (spreadsheetPath === null) console.warn(NO_SPREADSHEET);

/** A cell as a spreadsheet keeps it. */
export interface SheetCell {
  /** `string`, `float`, `date`, `boolean` and so on (OpenDocument 1.3, part 3, 19.387); empty for an empty cell. */
  readonly type: string;
  /** What it shows. */
  readonly shown: string;
  readonly isFormula: boolean;
}

/**
 * Tables of RFC 4180 as a spreadsheet has them once they are opened, by one run of it with an empty profile.
 *
 * @param language The number of a language as Windows has it: 1033 for English (USA), 1031 for German.
 */
export function openTables(tables: readonly string[], language: number): SheetCell[][][] {
  if (spreadsheetPath === null) throw new Error(NO_SPREADSHEET);
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-spreadsheet-'));
  try {
    const files = tables.map((text, at) => {
      const file = join(folder, `table-${at}.csv`);
      writeFileSync(file, text);
      return file;
    });
    // Comma, double quote, UTF-8, from the first row; then whether quoted cells are text (no) and whether
    // dates and the like are looked for (yes): the import that changes most.
    const filter = `CSV:44,34,76,1,,${language},false,true`;
    execFileSync(
      spreadsheetPath,
      [
        `-env:UserInstallation=${pathToFileURL(join(folder, 'profile')).href}`,
        ...['--headless', `--infilter=${filter}`, '--convert-to', 'fods', '--outdir', folder],
        ...files,
      ],
      { stdio: 'ignore', timeout: 60_000 },
    );
    return files.map((file) => sheetCells(readFileSync(file.replace(/csv$/, 'fods'), 'utf8')));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const SPACES = {
  office: 'urn:oasis:names:tc:opendocument:xmlns:office:1.0',
  table: 'urn:oasis:names:tc:opendocument:xmlns:table:1.0',
  text: 'urn:oasis:names:tc:opendocument:xmlns:text:1.0',
};

const MOST_COLUMNS = 100;

/** The cells of a flat OpenDocument sheet, without the empty ones at the end of a row. */
function sheetCells(xml: string): SheetCell[][] {
  // Spaces in a row are elements there, each with how many.
  const plain = xml.replace(/<text:s(?: text:c="(\d+)")?\/>/g, (_, count = '1') =>
    ' '.repeat(Number(count)),
  );
  const document = XmlDocument.fromString(plain);
  try {
    return document.find('//table:table-row[.//text:p]', SPACES).map((row) => {
      const cells = row.find('table:table-cell', SPACES).flatMap((cell) => {
        const attribute = (name: string): string => cell.find(`@${name}`, SPACES)[0]?.content ?? '';
        const read: SheetCell = {
          type: attribute('office:value-type'),
          shown: cell
            .find('text:p', SPACES)
            .map(({ content }) => content)
            .join('\n'),
          isFormula: attribute('table:formula') !== '',
        };
        const times = Number(attribute('table:number-columns-repeated') || '1');
        // The last one of a row stands for all columns that there can be.
        return Array.from({ length: Math.min(times, MOST_COLUMNS) }, () => read);
      });
      return cells.slice(0, cells.findLastIndex(({ type }) => type !== '') + 1);
    });
  } finally {
    document.dispose();
  }
}
