// Sources: RFC 4180, section 2, by its own grammar and by a reader that is not ours (npm `csv-parse`,
// which refuses stray quotes and rows of unequal length); OWASP, CSV Injection, its list of first
// characters (the full-width ones from memory of a later text) and its two examples of escaped output.
import { parse } from 'csv-parse/sync';
import { expect, test } from 'vitest';
import { writeCsv } from '../../src/report/csv.js';
import { csvTable } from '../../src/report/csv-table.js';
import {
  findingsEverywhere,
  glbAsset,
  HOSTILE_NAMES,
  sampleFinding,
  sampleReport,
  unreadableAsset,
} from '../report/sample-report.js';

const names = [
  ...Object.values(HOSTILE_NAMES),
  '=1+2";=1+2',
  '@sum(a1)',
  '\uff1d1+2',
  ' \uff20sum(a1)',
  'heron;\uff0b1',
  '"=a1',
  ' -2',
  '\t=a1',
];
const report = sampleReport([
  glbAsset('heron.glb', findingsEverywhere()),
  glbAsset(
    'mule.glb',
    names.map((name) =>
      sampleFinding({ message: name, remedy: name, place: { name, path: name }, rule: name }),
    ),
  ),
  ...names.map((name) => unreadableAsset(name, name, name)),
]);
const text = writeCsv(report);

test('a report keeps to the grammar of RFC 4180', () => {
  // file = record *(CRLF record) [CRLF]; TEXTDATA without quotes, commas, CR and LF.
  const field = '(?:"(?:[^"]|"")*"|[^",\\r\\n]*)';
  expect(text).toMatch(new RegExp(`^(?:${field}(?:,${field})*\\r\\n)+$`));
  expect(text).not.toContain('\0');
});

test('another reader finds as many rows as there are findings and assets without one', () => {
  const rows: string[][] = parse(text, { record_delimiter: '\r\n' });
  const findings = report.assets.reduce((sum, asset) => sum + (asset.findings.length || 1), 0);
  expect(rows).toHaveLength(1 + findings);
  expect(new Set(rows.map((row) => row.length))).toEqual(new Set([20]));
});

test.each([',', ';', '\t'])('separated at %j, no cell begins like a formula', (delimiter) => {
  const rows: string[][] = parse(text, { delimiter, relax_column_count: true, relax_quotes: true });
  const numeric = /^[+-]?\d+(\.\d+)?(e[+-]\d+)?$/;
  const risky = rows
    .flat()
    .filter((cell) => /^[=+\-@\uff1d\uff0b\uff0d\uff20\t\r\n]/.test(cell) && !numeric.test(cell));
  expect(risky).toEqual([]);
});

test('the examples of OWASP come out as there, and semicolons are guarded as well', () => {
  const written = (text: string) => csvTable(['a'], [[text]]).slice('"a"\r\n'.length, -2);
  expect(written(`=1+2'" ;,=1+2`)).toBe(`"'=1+2'"" ;,=1+2"`);
  expect(written('=1+2";=1+2')).toBe(`"'=1+2"";=1+2"`.replace(';', ";'"));
});
