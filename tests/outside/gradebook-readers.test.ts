// Sources: RFC 4180 by two readers that are not ours (npm `csv-parse`, strict, and npm `papaparse` with its
// own guess of the separator), and papaparse as the writer of what a spreadsheet makes of a gradebook where
// the comma is of decimals. A whole spreadsheet is in gradebook-spreadsheet.test.ts.
import { parse } from 'csv-parse/sync';
import Papa from 'papaparse';
import { expect, test } from 'vitest';
import { rules } from '../../rules/index.js';
import { courseOf } from '../../src/grade/course.js';
import { writeGradebook } from '../../src/grade/gradebook.js';
import { readGradebook } from '../../src/grade/older/read-gradebook.js';
import { readOlder } from '../../src/grade/older/read-older.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { sinceOf } from '../../src/grade/since.js';
import { type Row, rowOf } from '../../src/grade/submission.js';
import { decodeTable } from '../../src/house/table-text.js';
import { cellText } from '../../src/report/csv-table.js';
import { ALONE, mark, SETTINGS } from '../grade/mark.js';
import { measuredAsset } from '../grade/measured-asset.js';
import { HOSTILE_NAMES } from '../report/sample-report.js';

const rubric = rubricOf({ axis: 20, place: 5 }, rules);
const NAMES = [
  // No file is called nothing.
  ...Object.values(HOSTILE_NAMES).filter((name) => name !== ''),
  '=1+2',
  '@sum;=a1',
  'a"b',
  "it's",
  'h\u00e9ron',
  ' b ',
];

function rowsShort(short: number): Row[] {
  const seen = [
    [{ rule: 'axis.up', looked: 7, short, stands: short > 0, level: 'warning' as const }],
  ];
  return NAMES.map((name) => {
    const marked = mark(name, [measuredAsset('a.glb', seen)], { axis: 20, place: 5 });
    return rowOf(marked, ALONE, SETTINGS);
  });
}

const first = writeGradebook(rowsShort(5), rubric, new Map());
const older = readOlder('old.csv', { text: first, what: 'the gradebook old.csv' }, null);
const rows = rowsShort(1)
  .slice(1)
  .map((row) => {
    const points = row.grade?.scaled ?? null;
    return { ...row, since: sinceOf(row.name, points, row.record, older, rubric) };
  });
const course = courseOf(rows, older, rubric);
const book = writeGradebook(rows, rubric, new Map(), { due: new Date(0), course });

test('two readers see the same cells in a gradebook of two hand-ins', () => {
  const strict = parse(book, { record_delimiter: '\r\n' });
  const loose = Papa.parse<string[]>(book, { skipEmptyLines: true });
  expect(loose.errors).toEqual([]);
  expect(loose.data).toEqual(strict);
  expect(strict).toHaveLength(NAMES.length + 1);
});

test('points of the hand-in before stand beside each name that was handed in twice', () => {
  const cells: Record<string, string>[] = parse(book, { columns: true });
  // One joint with a warning leaves 20 x 1/2 = 10: 10 x 25 / 20 = 12.5. Five leave nothing.
  for (const name of NAMES.slice(1)) {
    const row = cells.find(({ submission }) => submission === cellText(name));
    expect([name, row?.['hand-in 1 out of 25'], row?.change]).toEqual([name, '0', '12.5']);
  }
  const [absent = ''] = NAMES;
  const last = cells.at(-1);
  expect([last?.submission, last?.since]).toEqual([cellText(absent), 'not handed in again']);
});

test('what a spreadsheet makes of it is read back with the same points', () => {
  const table = Papa.parse<string[]>(book, { skipEmptyLines: true }).data;
  const local = table.map((row) => row.map((cell) => cell.replace(/^(\d+)\.(\d+)$/, '$1,$2')));
  const saved = `\ufeff${Papa.unparse(local, { delimiter: ';', quotes: false })}\r\n`;
  const { text } = decodeTable(Buffer.from(saved), 'it');
  const [here, there] = [readGradebook(book, 'it'), readGradebook(text, 'it')];
  expect(there.all).toEqual(here.all);
  expect([there.notes, there.handIns]).toEqual([[], [{ outOf: 25 }, { outOf: 25 }]]);
  for (const name of NAMES.slice(1)) expect(there.byName.get(name)?.marks).toEqual([0, 12.5]);
});
