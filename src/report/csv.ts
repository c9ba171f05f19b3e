import { type CsvCell, csvTable } from './csv-table.js';
import { assetName, failedWords, stoppedWords, unreadableWords } from './finding-words.js';
import { otherPlaces, pathOf } from './places.js';
import type { AssetReport, FindingReport, Report } from './report-types.js';

/** A row of the table; the finding is null where an asset has none. */
interface Row {
  readonly asset: AssetReport;
  readonly finding: FindingReport | null;
}

const COLUMNS: readonly (readonly [heading: string, cell: (row: Row) => CsvCell | undefined])[] = [
  ['asset', ({ asset }) => assetName(asset)],
  ['verdict', ({ asset }) => asset.verdict],
  ['rig', ({ asset: { rigs }, finding }) => rigs.find(({ index }) => index === finding?.rig)?.name],
  ['rule', ({ finding }) => finding?.rule],
  ['level', ({ finding }) => finding?.level],
  ['place kind', ({ finding }) => finding?.place.kind],
  ['place path', ({ finding }) => finding?.place.path || null],
  ['other places', ({ finding }) => finding && otherPlaces(finding).length],
  ['other paths', otherPaths],
  ['measured', ({ finding }) => finding?.measured],
  ['limit', ({ finding }) => finding?.limit],
  ['unit', ({ finding }) => finding?.unit],
  ['looked', ({ finding }) => finding?.counts?.looked],
  ['short', ({ finding }) => finding?.counts?.short],
  ['message', messageOf],
  ['remedy', ({ finding }) => finding?.remedy],
  ['consequences', ({ finding }) => finding?.consequences.join(' ') || null],
  ['waived by', ({ finding }) => finding?.waived?.by],
  ['waived until', ({ finding }) => finding?.waived?.until],
  ['waived why', ({ finding }) => finding?.waived?.why],
];

/**
 * A report as a table for spreadsheets: a row a finding, in report order. An asset without one, or
 * that could not be read, has one row of its own, so that every asset is in the table. Rules that failed
 * come after all of them, a row each, and a run that was stopped says so in a last row without an asset.
 *
 * @param options.bom Whether to begin with a byte order mark, for programs that do not recognise
 * UTF-8 without one.
 */
export function writeCsv(report: Report, options: { readonly bom?: boolean } = {}): string {
  return csvTable(HEADINGS, tableRows(report), options);
}

const HEADINGS = COLUMNS.map(([heading]) => heading);

function* tableRows({ assets, partial }: Report): Generator<CsvCell[]> {
  for (const asset of assets)
    for (const finding of asset.findings.length === 0 ? [null] : asset.findings)
      yield COLUMNS.map(([, cell]) => cell({ asset, finding }) ?? null);
  for (const asset of assets)
    for (const failed of asset.failed ?? []) {
      const rig = asset.rigs.find(({ index }) => index === failed.rig)?.name;
      yield rowOf({
        asset: assetName(asset),
        verdict: asset.verdict,
        ...(rig !== undefined && { rig }),
        rule: failed.rule,
        message: failedWords(failed, asset),
      });
    }
  if (partial === null) return;
  yield rowOf({ verdict: 'stopped', message: stoppedWords(partial) });
}

function rowOf(cells: Readonly<Record<string, string>>): CsvCell[] {
  return HEADINGS.map((heading) => cells[heading] ?? null);
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
