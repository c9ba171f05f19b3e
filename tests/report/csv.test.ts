import { parse } from 'csv-parse/sync';
import { describe, expect, test } from 'vitest';
import { writeCsv } from '../../src/report/csv.js';
import type { AssetReport } from '../../src/report/report-types.js';
import {
  glbAsset,
  sampleFinding,
  sampleReport,
  sampleRig,
  unreadableAsset,
} from './sample-report.js';

/** The rows by their headings, as a reader that is not ours sees them. */
function rowsOf(assets: readonly AssetReport[]): Record<string, string>[] {
  return parse(writeCsv(sampleReport(assets)), { columns: true });
}

/** The cells of a row that hold something. */
function filled(row: Record<string, string> | undefined): Record<string, string> {
  return Object.fromEntries(Object.entries(row ?? {}).filter(([, cell]) => cell !== ''));
}

describe('a CSV report', () => {
  test('has a row a finding, with all that is known of it', () => {
    const finding = sampleFinding({
      counts: { looked: 20, short: 3 },
      consequences: ['Curls leave their plane.', 'Poses lean.'],
      waived: { by: 'props', why: 'a crank', until: '2027-01-31' },
    });
    const [row, ...others] = rowsOf([glbAsset('heron.glb', [finding])]);
    expect(others).toEqual([]);
    expect(row).toEqual({
      asset: 'heron.glb',
      verdict: 'unsound',
      rig: 'heron',
      rule: 'axis.up',
      level: 'error',
      'place kind': 'joint',
      'place path': 'body/neck/beak',
      'other places': '0',
      'other paths': '',
      measured: '92.4',
      limit: '30',
      unit: 'degrees',
      looked: '20',
      short: '3',
      message: finding.message,
      remedy: finding.remedy,
      consequences: 'Curls leave their plane. Poses lean.',
      'waived by': 'props',
      'waived until': '2027-01-31',
      'waived why': 'a crank',
    });
  });

  test('has one row for a sound asset, and one for an asset that cannot be read', () => {
    const [sound, unreadable, ...others] = rowsOf([
      glbAsset('heron.glb'),
      unreadableAsset('beetle.glb', 'the file is empty', 'byte 0'),
    ]);
    expect(others).toEqual([]);
    expect(filled(sound)).toEqual({ asset: 'heron.glb', verdict: 'sound' });
    expect(filled(unreadable)).toEqual({
      asset: 'beetle.glb',
      verdict: 'unreadable',
      message: 'the file is empty (at byte 0).',
    });
  });

  test('keeps the order of assets and findings', () => {
    const findings = [sampleFinding({ rule: 'b' }), sampleFinding({ rule: 'a' })];
    const rows = rowsOf([glbAsset('mule.glb', findings), glbAsset('heron.glb', findings)]);
    expect(rows.map(({ asset, rule }) => `${asset} ${rule}`)).toEqual([
      'mule.glb b',
      'mule.glb a',
      'heron.glb b',
      'heron.glb a',
    ]);
  });

  test('names the rig that a finding is in, and none for one about the asset', () => {
    const rigs = [sampleRig(), { ...sampleRig(), index: 1, name: 'mule' }];
    const findings = [1, 0, null].map((rig) => sampleFinding({ rig }));
    const rows = rowsOf([{ ...glbAsset('cast.glb', findings), rigs }]);
    expect(rows.map(({ rig }) => rig)).toEqual(['mule', 'heron', '']);
  });

  test('names standard input, whose path would begin a formula', () => {
    expect(rowsOf([glbAsset('-')])[0]?.asset).toBe('standard input');
  });

  test('begins with a byte order mark on request only', () => {
    expect(writeCsv(sampleReport([]))).toMatch(/^"asset",/);
    expect(writeCsv(sampleReport([]), { bom: true })).toMatch(/^\ufeff"asset",/);
  });
});

test('a stopped run says so in a last row', () => {
  const report = { ...sampleReport([glbAsset('heron.glb', [])]), partial: { checked: 1, of: 400 } };
  const rows: Record<string, string>[] = parse(writeCsv(report), { columns: true });
  expect(rows.map(filled)).toEqual([
    { asset: 'heron.glb', verdict: 'sound' },
    { verdict: 'stopped', message: 'The run was stopped: 1 of 400 assets checked.' },
  ]);
});
