import { type CsvCell, type CsvOptions, csvTable } from './csv-table.js';
import { assetName, stoppedWords, unreadableWords } from './finding-words.js';
import { otherPlaces, pathOf } from './places.js';
import type { AssetReport, FindingReport, Report } from './report-types.js';

/** A row of the table; the finding is null where an asset has none. */
interface Row {
  readonly asset: AssetReport;
  readonly finding: FindingReport | null;
}

const COLUMNS: readonly (readonly [heading: string, cell: (row: Row) => CsvCell])[] = [
  ['asset', ({ asset }) => assetName(asset)],
  ['verdict', ({ asset }) => asset.verdict],
  [
    'rig',
    ({ asset, finding }) => asset.rigs.find(({ index }) => index === finding?.rig)?.name ?? null,
  ],
  ['rule', ({ finding }) => finding?.rule ?? null],
  ['level', ({ finding }) => finding?.level ?? null],
  ['place kind', ({ finding }) => finding?.place.kind ?? null],
  ['place path', ({ finding }) => finding?.place.path || null],
  ['other places', ({ finding }) => finding && otherPlaces(finding).length],
  ['other paths', otherPaths],
  ['measured', ({ finding }) => finding?.measured ?? null],
  ['limit', ({ finding }) => finding?.limit ?? null],
  ['unit', ({ finding }) => finding?.unit ?? null],
  ['looked', ({ finding }) => finding?.counts?.looked ?? null],
  ['short', ({ finding }) => finding?.counts?.short ?? null],
  ['message', messageOf],
  ['remedy', ({ finding }) => finding?.remedy ?? null],
  ['consequences', ({ finding }) => finding?.consequences.join(' ') || null],
  ['waived by', ({ finding }) => finding?.waived?.by ?? null],
  ['waived until', ({ finding }) => finding?.waived?.until ?? null],
  ['waived why', ({ finding }) => finding?.waived?.why ?? null],
];

/**
 * A report as a table for spreadsheets: a row a finding, in report order. An asset without one, or
 * that could not be read, has one row of its own, so that every asset is in the table. A run that was
 * stopped says so in a last row without an asset.
 */
export function writeCsv(report: Report, options: CsvOptions = {}): string {
  return csvTable(
    COLUMNS.map(([heading]) => heading),
    tableRows(report),
    options,
  );
}

function* tableRows({ assets, partial }: Report): Generator<CsvCell[]> {
  for (const asset of assets) {
    const findings = asset.findings.length === 0 ? [null] : asset.findings;
    for (const finding of findings) yield COLUMNS.map(([, cell]) => cell({ asset, finding }));
  }
  if (partial === null) return;
  const cells = new Map([
    ['verdict', 'stopped'],
    ['message', stoppedWords(partial)],
  ]);
  yield COLUMNS.map(([heading]) => cells.get(heading) ?? null);
}

/** Letters that spreadsheets keep of one cell (common practice: 32,767), with room for how many are left. */
const CELL_LETTERS = 32_000;

/** Separated by semicolons; one inside a name is written `\\;`, as a slash is `\\/`. */
function otherPaths({ finding }: Row): string | null {
  const others = finding === null ? [] : otherPlaces(finding);
  const listed: string[] = [];
  let letters = 0;
  for (const place of others) {
    const path = pathOf(place).replaceAll(';', '\\;');
    letters += path.length + 2;
    if (letters > CELL_LETTERS) break;
    listed.push(path);
  }
  if (listed.length < others.length) listed.push(`and ${others.length - listed.length} more`);
  return listed.join('; ') || null;
}

function messageOf({ asset, finding }: Row): string | null {
  return finding?.message ?? (asset.unreadable && unreadableWords(asset.unreadable));
}
