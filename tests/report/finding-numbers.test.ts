import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings } from '../../src/check/settings.js';
import { drawSheet } from '../../src/draw/sheet.js';
import { makeMarks } from '../../src/page/client/marks.js';
import { writePage } from '../../src/page/page-html.js';
import { picturesOf } from '../../src/page/pictures-of.js';
import { findingNumbers } from '../../src/report/finding-numbers.js';
import { PLAIN } from '../../src/report/paint.js';
import type { AssetReport, FindingReport } from '../../src/report/report-types.js';
import { writeText } from '../../src/report/text.js';
import { drawable } from '../draw/drawn.js';

const settings = defaultSettings(rules);

/** A rig each, with findings of all levels, at one joint, at many, and at none. */
const RIGS = {
  heron: ['flipped-shin', 'crooked-neck', 'nameless-neck', 'stretching-neck'],
  mule: ['forelegs-hung-by-the-hoof'],
  caterpillar: ['rings-on-another-axis'],
  marionette: ['stored-in-a-wave'],
} as const;

/** `number rule` of each finding. */
function expected({ findings }: AssetReport): string[] {
  const numbers = findingNumbers(findings);
  return findings.map(({ rule }, index) => `${numbers[index]} ${rule}`).sort();
}

const matches = (text: string, pattern: RegExp): string[] =>
  [...text.matchAll(pattern)].map(([, number, rule]) => `${number} ${rule}`).sort();

describe.each(Object.entries(RIGS))('the findings of a faulty %s', (puppet, faults) => {
  it('have the same numbers in text, sheet and page, and each of them all', async () => {
    const bytes = buildGlb(puppet as keyof typeof RIGS, { faults: faults.map(faultNamed) });
    const { scene, report: asset } = await drawable(bytes, `${puppet}.glb`);
    expect(asset.findings.length).toBeGreaterThan(0);
    const report = makeReport([asset], settings);
    const text = writeText(report, { columns: 1000, paint: PLAIN, quiet: false });
    expect(matches(text, /^ *(\d+)\. (?:ERROR|WARNING|NOTE) ([\w.-]+):/gm)).toEqual(
      expected(asset),
    );
    const sheet = drawSheet(scene, asset);
    expect(
      matches(sheet, />(\d+)<\/text><text [^>]*><tspan[^>]*>(?:error|warning|note) ([\w.-]+)</g),
    ).toEqual(expected(asset));
    const page = writePage({
      ...{ head: report, asset, pictures: await picturesOf(scene, asset), rules, script: '' },
      ...{ index: null, points: null, order: null },
    });
    const told = [...page.matchAll(/id="finding-(\d+)" tabindex="-1" data-finding="(\d+)"/g)].map(
      ([, number, index]) => `${number} ${asset.findings[Number(index)]?.rule}`,
    );
    expect(told.sort()).toEqual(expected(asset));
    // From top to bottom the page counts up.
    const order = [...page.matchAll(/id="finding-(\d+)"/g)].map(([, number]) => Number(number));
    expect(order).toEqual([...order].sort((a, b) => a - b));
    // Each place in the view has the number of its finding.
    const marks = makeMarks(asset, asset.rigs.length);
    const inView = new Set([
      ...marks.numbers.flatMap(({ numbers }) => numbers),
      ...marks.whole.flat().map(({ number }) => number),
    ]);
    expect([...inView].sort((a, b) => a - b)).toEqual(order);
  });
});

it('number 1 is the gravest and what is mended first; a waiver changes no number', () => {
  const finding = (rule: string, level: FindingReport['level'], measured: number, waived = false) =>
    ({
      ...{ rule, level, measured, limit: 1 },
      ...(waived && { waived: { by: 'props', why: 'a crank', until: null } }),
    }) as unknown as FindingReport;
  const all = (waived: boolean) => [
    finding('name.missing', 'warning', 1),
    finding('axis.up', 'error', 2),
    finding('axis.up', 'error', 5, waived),
    finding('chain.length', 'error', 2),
    finding('axis.aim', 'error', 2),
  ];
  expect(findingNumbers(all(false))).toEqual([5, 4, 3, 1, 2]);
  expect(findingNumbers(all(true))).toEqual([5, 4, 3, 1, 2]);
  expect(findingNumbers([])).toEqual([]);
});
