// Sources: LibreOffice Calc 7.4.7 (Debian 12) as a spreadsheet that opens a gradebook, told by OpenDocument
// 1.3, part 3 (flat sheets), read by libxml2; RFC 4180 by npm `csv-parse`. It needs `soffice`, runs it once,
// and is skipped where there is none. Run by hand in German (1031), too: there, points with a decimal point
// are text, as in any spreadsheet whose comma is of decimals, and `1,3` is a number.
import { parse } from 'csv-parse/sync';
import { beforeAll, describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { courseOf } from '../../src/grade/course.js';
import { writeGradebook } from '../../src/grade/gradebook.js';
import { readGradebook } from '../../src/grade/older/read-gradebook.js';
import { readOlder } from '../../src/grade/older/read-older.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { sinceOf } from '../../src/grade/since.js';
import { rowOf } from '../../src/grade/submission.js';
import { csvTable } from '../../src/report/csv-table.js';
import { ALONE, mark, SETTINGS } from '../grade/mark.js';
import { measuredAsset } from '../grade/measured-asset.js';
import { HOSTILE_NAMES } from '../report/sample-report.js';
import { openTables, type SheetCell, spreadsheetPath } from '../support/spreadsheet.js';

const POINTS = { axis: 20, place: 5 };

/** Names that stay what they are, and those that a spreadsheet takes for something else. */
const TEXTS = [
  // No file is called nothing.
  ...Object.values(HOSTILE_NAMES).filter((name) => name !== ''),
  ...[
    'a,b',
    'a "quote" b',
    'two\nlines',
    "it's",
    ' b ',
    'h\u00e9ron \u{1f3ee}',
    '1,3',
    '0x1F',
    'a;=b',
  ],
  ...['=1+2', '+1', '-1', '@sum', '\t=c', '\uff1d1', ' =1', '"=1"', '{=1}', '#REF!'],
];
const TAKEN = {
  '00012': 'float',
  '1e5': 'float',
  '2026-01-02': 'date',
  true: 'boolean',
  '1/2': 'date',
  '12:30': 'time',
  '123456789012345678': 'float',
  '5 %': 'percentage',
};
const NAMES = [...TEXTS, ...Object.keys(TAKEN)];
const GRADES = [
  { name: 'A', from: 100 },
  { name: '=1+2', from: 40 },
  { name: '-1', from: 18 },
  { name: '1.0', from: 0 },
];

const base = rubricOf(POINTS, rules);
const rubric = { ...base, grading: { ...base.grading, grades: GRADES } };

function rowsShort(short: (at: number) => number) {
  return NAMES.map((name, at) => {
    const count = short(at);
    const seen = [[{ rule: 'axis.up', looked: 7, short: count, stands: count > 0 }]];
    return rowOf(mark(name, [measuredAsset('a.glb', seen)], POINTS), ALONE, SETTINGS);
  });
}

const first = writeGradebook(
  rowsShort(() => 5),
  rubric,
  new Map(),
);
const older = readOlder('old.csv', { text: first, what: 'the gradebook old.csv' }, null);
const rows = rowsShort((at) => [0, 1, 5][at % 3] ?? 0).map((row) => ({
  ...row,
  since: sinceOf(row.name, row.grade?.scaled ?? null, row.record, older, rubric),
}));
const similar = new Map(NAMES.map((name) => [name, ['=other', name]]));
const book = writeGradebook(rows, rubric, similar, {
  due: new Date(0),
  course: courseOf(rows, older, rubric),
});

describe.runIf(spreadsheetPath !== null)('a gradebook that a spreadsheet opens', () => {
  const cells: string[][] = parse(book, { record_delimiter: '\r\n' });
  const [header = []] = cells;
  let [sheet = [], bare = []]: SheetCell[][][] = [];
  beforeAll(() => {
    // What is not kept from being a formula is one there: the check can fail.
    [sheet = [], bare = []] = openTables([book, 'a,"=1+2"\r\n'], 1033);
  }, 120_000);

  it('has no cell that runs as a formula', () => {
    expect(bare[0]?.[1]).toMatchObject({ isFormula: true, shown: '3' });
    expect(sheet).toHaveLength(NAMES.length + 1);
    expect(sheet.flat().filter(({ isFormula }) => isFormula)).toEqual([]);
  });

  it('has its numbers as numbers, and its texts to the letter but for names that are taken for more', () => {
    const others = new Set<string>();
    let numbers = 0;
    for (const [at, row] of cells.entries())
      for (const [column, text] of row.entries()) {
        const { type = '', shown = '' } = sheet[at]?.[column] ?? {};
        const name = header[column] ?? '';
        if (at > 0 && /^(?:points|of|.*out of 25|change|axis|errors)$/.test(name)) {
          numbers++;
          expect([name, type, shown]).toEqual([name, 'float', text]);
        } else if (type === 'string' || type === '') expect([name, shown]).toEqual([name, text]);
        else if (Number.isNaN(Number(text)) || name === 'submission') others.add(text);
        else expect([name, Number(shown)]).toEqual([name, Number(text)]);
      }
    expect(numbers).toBe(7 * NAMES.length);
    expect([...others].sort()).toEqual(Object.keys(TAKEN).sort());
    for (const [name, type] of Object.entries(TAKEN)) {
      const at = cells.findIndex(([submission]) => submission === name);
      expect([name, sheet[at]?.[0]?.type]).toEqual([name, type]);
    }
  });

  it('gives back points and grades of each name, once it is saved, but of dates and the like', () => {
    const saved = csvTable(
      sheet[0]?.map(({ shown }) => shown) ?? [],
      sheet.slice(1).map((row) => header.map((_, at) => row[at]?.shown ?? null)),
    );
    const { byName } = readGradebook(saved, 'it');
    const lost = NAMES.filter((name) => byName.get(name) === undefined);
    expect(lost.sort()).toEqual(['1/2', '123456789012345678', '12:30', '5 %', 'true']);
    for (const { name, grade } of rows.filter((row) => !lost.includes(row.name)))
      expect([name, byName.get(name)?.marks.at(-1)]).toEqual([name, (grade?.scaled ?? 0) / 10]);
  });
});
