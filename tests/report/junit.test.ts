import { describe, expect, test } from 'vitest';
import type { AssetTimes } from '../../src/report/asset-times.js';
import { writeJunit } from '../../src/report/junit.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { type ReadCase, readSuites, schemaFaults } from './junit-reader.js';
import {
  glbAsset,
  sampleFinding,
  sampleReport,
  sampleRig,
  unreadableAsset,
} from './sample-report.js';

const WAIVED = { by: 'props', why: 'a crank sits here', until: '2027-01-31' };

function casesOf(asset: AssetReport, failing: Report['failing'] = 'error'): readonly ReadCase[] {
  const xml = writeJunit({ ...sampleReport([asset]), failing });
  return readSuites(xml)[0]?.cases ?? [];
}

function outcomes(asset: AssetReport, failing: Report['failing'] = 'error'): string[] {
  return casesOf(asset, failing).map(
    ({ name, children }) => `${name}: ${Object.keys(children).join(' and ') || 'passed'}`,
  );
}

describe('a case of a JUnit report', () => {
  test('passes, fails or is skipped as its rule held, fell short or did not apply', () => {
    expect(outcomes(glbAsset('heron.glb'))).toEqual([
      'readable: passed',
      'axis.up: passed',
      'axis.mirror: skipped',
    ]);
    expect(outcomes(glbAsset('heron.glb', [sampleFinding()]))).toEqual([
      'readable: passed',
      'axis.up: failure',
      'axis.mirror: skipped',
    ]);
  });

  test('stands for the file itself when that cannot be read', () => {
    const [only, ...others] = casesOf(unreadableAsset('beetle.glb', 'the file is empty', 'byte 0'));
    expect(others).toEqual([]);
    expect(only).toEqual({
      name: 'readable',
      classname: 'beetle.glb',
      message: 'the file is empty (at byte 0).',
      children: { error: 'the file is empty (at byte 0).' },
    });
  });

  test('tells everything about a failure', () => {
    const finding = sampleFinding({ consequences: ['Curls leave their plane.'] });
    const failed = casesOf(glbAsset('heron.glb', [finding]))[1];
    expect(failed?.classname).toBe('heron.glb/heron');
    expect(failed?.message).toBe(finding.message);
    expect(failed?.children).toEqual({
      failure: `error at joint body/neck/beak\n${finding.message} ${finding.remedy} Curls leave their plane.`,
    });
  });

  test('counts several findings of its rule, and tells each', () => {
    const findings = [sampleFinding(), sampleFinding({ place: { path: 'body/neck' } })];
    const failed = casesOf(glbAsset('heron.glb', findings))[1];
    expect(failed?.message).toBe(`2 findings, the first: ${findings[0]?.message}`);
    expect(failed?.children.failure?.match(/^error at joint .*$/gm)).toEqual([
      'error at joint body/neck/beak',
      'error at joint body/neck',
    ]);
  });

  test.each([
    ['error', 'error', 'failure'],
    ['warning', 'error', 'system-out'],
    ['warning', 'warning', 'failure'],
    ['note', 'warning', 'system-out'],
    ['note', 'note', 'failure'],
    ['error', 'note', 'failure'],
    ['error', 'never', 'system-out'],
  ] as const)('with a finding of level %s, failing level %s, has a %s', (level, failing, has) => {
    const asset = glbAsset('heron.glb', [sampleFinding({ level })]);
    expect(outcomes(asset, failing)[1]).toBe(`axis.up: ${has}`);
  });

  test('tells of a waived finding without failing', () => {
    const waived = sampleFinding({ waived: WAIVED });
    const told = casesOf(glbAsset('heron.glb', [waived]))[1];
    expect(told?.children).toEqual({
      'system-out': `error at joint body/neck/beak\n${waived.message} ${waived.remedy}\nWaived by props until 2027-01-31: a crank sits here`,
    });
    expect(outcomes(glbAsset('heron.glb', [waived, sampleFinding()]))[1]).toBe(
      'axis.up: failure and system-out',
    );
  });

  test('stands under the file for a finding about the asset', () => {
    const finding = sampleFinding({ rig: null, rule: 'file.no-skin', place: { path: '' } });
    const told = casesOf(glbAsset('heron.glb', [finding]))[1];
    expect(told).toMatchObject({ name: 'file.no-skin', classname: 'heron.glb' });
    expect(told?.children.failure).toMatch(/^error\n/);
  });

  test('says why its rule does not apply, in the content', () => {
    const skipped = casesOf(glbAsset('heron.glb'))[2];
    expect(skipped?.message).toBeNull();
    expect(skipped?.children.skipped).toBe('Not applicable, because the rig has no pairs.');
  });
});

describe('names in a JUnit report', () => {
  test('tell rigs apart, those of one name too', () => {
    const asset = { ...glbAsset('mule.glb'), rigs: [sampleRig(), sampleRig(), sampleRig()] };
    const names = casesOf(asset).map(({ name }) => name);
    expect(names.slice(0, 4)).toEqual([
      'readable',
      'axis.up (heron)',
      'axis.mirror (heron)',
      'axis.up (heron) (2)',
    ]);
    expect(new Set(names).size).toBe(7);
  });

  test('are unique even where a rig is named after the number of another', () => {
    const rigs = ['mule', 'mule', 'mule) (2'].map((name) => ({ ...sampleRig(), name }));
    const names = casesOf({ ...glbAsset('mule.glb'), rigs }).map(({ name }) => name);
    expect(new Set(names).size).toBe(names.length);
  });

  test('of suites are unique as well', () => {
    const xml = writeJunit(sampleReport([glbAsset('mule.glb'), glbAsset('mule.glb')]));
    expect(readSuites(xml).map(({ attributes }) => attributes.name)).toEqual([
      'mule.glb',
      'mule.glb (2)',
    ]);
  });
});

test('a suite counts its cases, and the report those of its suites', () => {
  const xml = writeJunit(
    sampleReport([
      glbAsset('heron.glb', [sampleFinding()]),
      unreadableAsset('beetle.glb', 'the file is empty', null),
    ]),
  );
  expect(readSuites(xml).map(({ attributes }) => attributes)).toEqual([
    { name: 'heron.glb', tests: '3', failures: '1', errors: '0', skipped: '1' },
    { name: 'beetle.glb', tests: '1', failures: '0', errors: '1', skipped: '0' },
  ]);
  expect(xml).toContain('<testsuites name="trysquare" tests="4" failures="1" errors="1">');
});

describe('times', () => {
  const assets = [glbAsset('heron.glb', [sampleFinding()]), glbAsset('mule.glb')];
  const rule = sampleFinding().rule;
  const times: AssetTimes = { total: 250, rules: [{ rig: 0, rule, time: 1.5 }] };
  const timesIn = (xml: string) => xml.match(/(?<= time=")[^"]*/g) ?? [];

  test('are seconds of each suite and case, and what no rule took is that of reading', () => {
    const xml = writeJunit(sampleReport(assets.slice(0, 1)), { times: [times] });
    expect(timesIn(xml)).toEqual(['0.250000', '0.250000', '0.248500', '0.001500', '0.000000']);
    expect(schemaFaults(xml)).toEqual([]);
  });

  test('are left out where nobody knows them, and the whole is the sum of those known', () => {
    const whole = (known: readonly (AssetTimes | null)[]) => {
      const xml = writeJunit(sampleReport(assets), { times: known });
      return [timesIn(xml)[0], readSuites(xml).map(({ attributes }) => attributes.time)];
    };
    expect(whole([null, times])).toEqual(['0.250000', [undefined, '0.250000']]);
    expect(whole([times, times])).toEqual(['0.500000', ['0.250000', '0.250000']]);
    expect(timesIn(writeJunit(sampleReport(assets)))).toEqual([]);
  });
});

describe('a JUnit report of a run that was stopped', () => {
  const partial = { checked: 9, of: 400 };
  const said = 'The run was stopped: 9 of 400 assets checked.';

  test('has one case in error that says so, in a suite of its own before the others', () => {
    const assets = [glbAsset('stopped'), glbAsset('heron.glb')];
    const xml = writeJunit({ ...sampleReport(assets), partial });
    const [first, ...others] = readSuites(xml);
    expect(first?.attributes).toMatchObject({ tests: '1', errors: '1', failures: '0' });
    expect(first?.cases).toMatchObject([{ message: said, children: { error: said } }]);
    expect(others.map(({ attributes }) => attributes.errors)).toEqual(['0', '0']);
    const names = [first, ...others].map((suite) => suite?.attributes.name);
    expect(new Set(names).size).toBe(3);
    expect(xml).toMatch(/<testsuites [^>]*errors="1"/);
  });

  test('keeps that case when assets are left out', () => {
    const assets = Array.from({ length: 200 }, (_, at) =>
      glbAsset(`submission-${at}.glb`, [sampleFinding()]),
    );
    for (const mostBytes of [10, 1500, 6000]) {
      const xml = writeJunit({ ...sampleReport(assets), partial }, { mostBytes });
      expect(xml).toContain(`<error message="${said}"`);
      const left = readSuites(xml).length - 2;
      expect(xml).toContain(`<error message="${200 - left} assets left out`);
    }
  });
});

describe('a JUnit report that would be too large', () => {
  const long = 'n'.repeat(10_000);
  const assets = Array.from({ length: 8 }, (_, at) =>
    glbAsset(`submission-${at}.glb`, [sampleFinding({ message: `"${long}" is rolled.` })]),
  );

  test.each([
    [60_000, 'shortens texts', /\(\d+ letters left out/, 8],
    [9700, 'leaves out cases that passed', /2 cases that passed or did not apply are left out/, 8],
    [6_000, 'leaves out assets', /<error message="[4-7] assets left out/, 5],
    [10, 'says that it left out everything', /<error message="8 assets left out/, 1],
  ])('for %d bytes, %s and says so', (mostBytes, _, said, most) => {
    const xml = writeJunit(sampleReport(assets), { mostBytes });
    expect(xml).toMatch(said);
    expect(schemaFaults(xml)).toEqual([]);
    if (mostBytes > 1000) expect(Buffer.byteLength(xml)).toBeLessThan(mostBytes);
    expect(readSuites(xml).length).toBeLessThanOrEqual(most);
    expect(xml).not.toContain(long);
  });

  test('keeps every word while there is room, and stays under 30 MB unasked', () => {
    expect(writeJunit(sampleReport(assets))).not.toContain('left out');
    const huge = Array.from({ length: 40 }, (_, at) =>
      glbAsset(`${at}.glb`, [sampleFinding({ message: 'é'.repeat(400_000) })]),
    );
    const xml = writeJunit(sampleReport(huge));
    expect(Buffer.byteLength(xml)).toBeLessThan(30_000_000);
    expect(xml).toContain('letters left out');
  });
});
