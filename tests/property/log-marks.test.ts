// What a build service would obey: see tests/report/log-marks.test.ts for the sources.
import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import type { Log } from 'sarif';
import { describe, expect, test } from 'vitest';
import { writeCsv } from '../../src/report/csv.js';
import { writeJson } from '../../src/report/json.js';
import { writeJunit } from '../../src/report/junit.js';
import { writeMarkdown } from '../../src/report/markdown.js';
import { PLAIN } from '../../src/report/paint.js';
import type { Report } from '../../src/report/report-types.js';
import { writeSarif } from '../../src/report/sarif.js';
import { writeText } from '../../src/report/text.js';
import { readSuites } from '../report/junit-reader.js';
import {
  glbAsset,
  SAMPLE_RULES,
  sampleFinding,
  sampleReport,
  sarifOptions,
} from '../report/sample-report.js';
import { hostileReport, RUNS } from './hostile-names.js';

/** Lines that would be obeyed. */
function obeyed(text: string): string[] {
  return text.split(/[\r\n]/).filter((line) => /^\s*::/.test(line) || /##[\w.-]*\[/.test(line));
}

const FORMS: Readonly<Record<string, (report: Report) => string>> = {
  text: (report) => writeText(report, { columns: 40, paint: PLAIN, quiet: false, eachRule: true }),
  json: writeJson,
  sarif: (report) => writeSarif(report, SAMPLE_RULES, sarifOptions()),
  junit: (report) => writeJunit(report),
  markdown: (report) => writeMarkdown(report),
};

describe('whatever an asset is called', () => {
  test.each(Object.entries(FORMS))('no line of %s is obeyed by a build service', (_, write) => {
    fc.assert(
      fc.property(hostileReport, (report) => {
        expect(obeyed(write(report))).toEqual([]);
      }),
      RUNS,
    );
  });

  test('JSON, SARIF, JUnit XML and CSV in a file hold the name as it is', () => {
    const names = ['::error::heron', '##[error]mule', 'wagon ##vso[x]', "##teamcity[x y='z']"];
    for (const name of names) {
      const finding = sampleFinding({ place: { name, path: name } });
      const report = sampleReport([glbAsset(`${name}.glb`, [finding])]);
      const json: Report = JSON.parse(writeJson(report));
      expect(json.assets[0]).toMatchObject({
        path: `${name}.glb`,
        findings: [{ place: { name } }],
      });
      const sarif: Log = JSON.parse(FORMS.sarif?.(report) ?? '');
      expect(sarif.runs[0]?.logicalLocations?.map((place) => place.name)).toContain(name);
      const [suite] = readSuites(writeJunit(report));
      expect(suite?.attributes.name).toBe(`${name}.glb`);
      const rows: unknown[] = parse(writeCsv(report), { columns: true });
      expect(rows[0]).toMatchObject({ asset: `${name}.glb`, 'place path': name });
    }
  });
});
