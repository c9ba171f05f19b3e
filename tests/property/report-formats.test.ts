import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { writeCsv } from '../../src/report/csv.js';
import { csvTable } from '../../src/report/csv-table.js';
import { writeJunit } from '../../src/report/junit.js';
import { withoutMarks } from '../../src/report/log-marks.js';
import { writeMarkdown } from '../../src/report/markdown.js';
import { ruleCounts } from '../../src/report/rule-tally.js';
import { visible } from '../../src/report/visible.js';
import { readSuites, schemaFaults } from '../report/junit-reader.js';
import { cellsOf, headingsOf, itemsOf, looseWords, markupOf } from '../report/markdown-reader.js';
import { hostileName, hostileReport, RUNS } from './hostile-names.js';

test('JUnit XML of any report fits its schema, and no case is lost to another of its name', () => {
  fc.assert(
    fc.property(hostileReport, (report) => {
      const xml = writeJunit(report);
      expect(schemaFaults(xml)).toEqual([]);
      const suites = readSuites(xml);
      expect(suites).toHaveLength(report.assets.length);
      for (const { cases } of suites)
        expect(new Set(cases.map(({ name }) => name)).size).toBe(cases.length);
      expect(new Set(suites.map(({ attributes }) => attributes.name)).size).toBe(suites.length);
      expect(writeJunit(report)).toBe(xml);
    }),
    RUNS,
  );
});

test('JUnit XML has a failure exactly where an unwaived finding fails its asset', () => {
  const order = ['error', 'warning', 'note', 'never'];
  fc.assert(
    fc.property(hostileReport, (report) => {
      const failed = readSuites(writeJunit(report)).map(
        ({ cases }) => cases.filter(({ children }) => 'failure' in children).length,
      );
      const most = order.indexOf(report.failing === 'never' ? 'none' : report.failing);
      const expected = report.assets.map(({ findings, rigs }) => {
        const grave = findings.filter(
          ({ level, waived, rig }) =>
            order.indexOf(level) <= most &&
            waived === undefined &&
            (rig === null || rig < rigs.length),
        );
        return new Set(grave.map(({ rule, rig }) => `${rule} ${rig}`)).size;
      });
      expect(failed).toEqual(expected);
    }),
    RUNS,
  );
});

test('JUnit XML stays under its size, whatever is in the report', () => {
  fc.assert(
    fc.property(hostileReport, fc.integer({ min: 1500, max: 6000 }), (report, mostBytes) => {
      const xml = writeJunit(report, { mostBytes });
      expect(Buffer.byteLength(xml)).toBeLessThan(mostBytes);
      expect(schemaFaults(xml)).toEqual([]);
    }),
    RUNS,
  );
});

test('a cell of CSV is read back as its text, guarded and with controls made visible', () => {
  fc.assert(
    fc.property(fc.array(hostileName, { minLength: 1, maxLength: 5 }), (names) => {
      const text = csvTable(
        ['name', 'of'],
        names.map((name) => [name, 1]),
      );
      const rows: string[][] = parse(text, { record_delimiter: '\r\n', from: 2 });
      expect(rows.map(([, one]) => one)).toEqual(names.map(() => '1'));
      for (const [at, [cell = '']] of rows.entries()) {
        expect(cell).not.toMatch(/^[=+\-@\uff1d\uff0b\uff0d\uff20\t\r\n\0]/);
        const plain = visible((names[at] ?? '').replaceAll('\0', ''));
        expect(cell.replaceAll("'", '')).toBe(plain.replaceAll("'", ''));
      }
    }),
    RUNS,
  );
});

test('CSV of any report has a row a finding, or one for an asset without', () => {
  fc.assert(
    fc.property(hostileReport, (report) => {
      const rows: Record<string, string>[] = parse(writeCsv(report), { columns: true });
      expect(rows.map(({ verdict, rule }) => `${verdict} ${rule}`)).toEqual(
        report.assets.flatMap(({ verdict, findings }) =>
          findings.length === 0
            ? [`${verdict} `]
            : findings.map(({ rule }) => `${verdict} ${rule}`),
        ),
      );
      const numeric = /^-?\d/;
      const risky = rows
        .flatMap((row) => Object.values(row))
        .filter(
          (cell) => /^[=+\-@\uff1d\uff0b\uff0d\uff20\t\r\n\0]/.test(cell) && !numeric.test(cell),
        );
      expect(risky).toEqual([]);
    }),
    RUNS,
  );
});

test('Markdown of any report has no markup but its own, and every row, heading and finding', () => {
  fc.assert(
    fc.property(hostileReport, (report) => {
      const markdown = writeMarkdown(report);
      const strange = markupOf(markdown).filter(
        (part) => !/^html_block <(details>\n<summary>[\w ,]+<\/summary>|\/details>)\n?$/.test(part),
      );
      expect(strange).toEqual([]);
      expect(looseWords(markdown).filter((words) => /@\w|#\d|:\/\/|www\.\w/.test(words))).toEqual(
        [],
      );
      expect(markdown).not.toMatch(/[\p{Cs}\u0000-\u0009\u000b-\u001f\u202e]/u);
      const { assets } = report;
      expect(itemsOf(markdown)).toHaveLength(assets.flatMap(({ findings }) => findings).length);
      const cells = cellsOf(markdown);
      const rows = cells.slice(1, 1 + assets.length);
      expect(rows).toHaveLength(assets.length);
      // A table of rules, with its head, follows where several assets have findings.
      const seen = assets.map(ruleCounts).filter(({ size }) => size > 0);
      const rules = new Set(seen.length < 2 ? [] : seen.flatMap((one) => [...one.keys()]));
      const tallied = cells.slice(2 + assets.length).map(([rule]) => rule);
      expect(tallied.sort()).toEqual([...rules].sort());
      for (const [at, { path, verdict }] of assets.entries())
        expect(rows[at]?.slice(0, 2)).toEqual([named(path), verdict]);
      const told = assets.filter(
        ({ verdict, findings }) => verdict !== 'sound' || findings.length > 0,
      );
      expect(headingsOf(markdown)).toHaveLength(told.length);
    }),
    RUNS,
  );
});

function named(path: string): string {
  if (path === '-') return 'standard input';
  return path === '' ? '(no name)' : withoutMarks(visible(path));
}

test('Markdown keeps to its length, whatever is in the report', () => {
  fc.assert(
    fc.property(hostileReport, fc.integer({ min: 1600, max: 4000 }), (report, mostLetters) => {
      const markdown = writeMarkdown(report, { mostLetters });
      expect(markdown.length).toBeLessThanOrEqual(mostLetters);
      const told = itemsOf(markdown).length;
      const all = report.assets.flatMap(({ findings }) => findings).length;
      const left = Number(/ (\d+) findings?\. The full report/.exec(markdown)?.[1] ?? 0);
      expect(told + left).toBe(all);
    }),
    RUNS,
  );
});
