import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { UsageError } from '../../src/asset/errors.js';
import { joinReports } from '../../src/batch/join-reports.js';
import { disagreement } from '../../src/batch/judged-anew.js';
import { writeJson } from '../../src/report/json.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import {
  glbAsset,
  SAMPLE_LEDGER,
  sampleFinding,
  sampleReport,
  unreadableAsset,
} from '../report/sample-report.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const waived = { by: 'props', why: 'a crank sits here', until: null };
const bad = glbAsset('heron.glb', [sampleFinding(), sampleFinding({ level: 'note' })]);
const good = glbAsset('mule.glb');

function joined(...reports: Report[]): Report {
  return joinReports(reports.map((report, at) => ({ name: `part-${at + 1}.json`, report })));
}

describe('a joined report', () => {
  it.each<[string, AssetReport, Partial<AssetReport>]>([
    [
      'an unsound asset that was called sound',
      { ...bad, verdict: 'sound', counts: { error: 0, warning: 0, note: 0 } },
      { verdict: 'unsound', counts: { error: 1, warning: 0, note: 1 } },
    ],
    [
      'a sound asset that was called unreadable',
      { ...good, verdict: 'unreadable' },
      { verdict: 'sound' },
    ],
    [
      'an unreadable asset that was called sound',
      { ...unreadableAsset('beetle.glb', 'cut off', null), verdict: 'sound' },
      { verdict: 'unreadable' },
    ],
    [
      'an asset whose only error is waived, counted all the same',
      { ...glbAsset('heron.glb', [sampleFinding({ waived })]), verdict: 'unsound' },
      { verdict: 'sound', counts: { error: 0, warning: 0, note: 0 } },
    ],
  ])('works out %s', (_, asset, right) => {
    const report = joined({ ...sampleReport([asset]), verdict: 'sound' });
    expect(report.assets[0]).toMatchObject(right);
    expect(report.verdict).toBe(right.verdict);
    expect(report.totals.verdicts[right.verdict ?? 'sound']).toBe(1);
    expect(report.totals.counts).toEqual(report.assets[0]?.counts);
  });

  it('goes by the level that fails the run', () => {
    const asset = glbAsset('heron.glb', [sampleFinding({ level: 'warning' })]);
    const verdictAt = (failing: Report['failing']): Report['verdict'] =>
      joined({ ...sampleReport([asset]), failing }).verdict;
    expect(verdictAt('error')).toBe('sound');
    expect(verdictAt('warning')).toBe('unsound');
    expect(verdictAt('never')).toBe('sound');
  });

  it('counts what is waived itself', () => {
    const asset = glbAsset('heron.glb', [sampleFinding({ waived }), sampleFinding()]);
    const ledger = { ...SAMPLE_LEDGER, waived: 99 };
    expect(joined({ ...sampleReport([asset]), ledger }).ledger?.waived).toBe(1);
  });

  it.each([
    ['neither', { ...good, container: null }],
    ['both', { ...good, unreadable: { reason: 'cut off', where: null } }],
  ])('refuses an asset that is %s read and unreadable', (words, asset) => {
    const join = (): Report => joined(sampleReport([asset]));
    expect(join).toThrow(UsageError);
    expect(join).toThrow(`part-1.json says of mule.glb ${words} that it was read`);
  });
});

describe('a report that does not agree with itself', () => {
  it('is told in one line, with the first asset and how many more', () => {
    const report = sampleReport([
      { ...bad, verdict: 'sound' },
      good,
      { ...good, path: 'ox.glb', verdict: 'unsound' },
    ]);
    expect(disagreement('part-1.json', report)).toBe(
      'part-1.json does not agree with itself: it says that heron.glb is sound (1 error, 0 warnings, 1 note), but its findings say unsound (1 error, 0 warnings, 1 note); the same is true of 1 more; the findings count',
    );
  });

  it.each<[string, Partial<Report>]>([
    ['verdict', { verdict: 'sound' }],
    ['totals', { totals: { ...sampleReport([bad, good]).totals, assets: 3 } }],
    ['waived findings', { ledger: SAMPLE_LEDGER }],
  ])('is told where only its %s differ', (_, change) => {
    const report = { ...sampleReport([bad, good]), ...change };
    expect(disagreement('a.json', report)).toContain('its totals are not the sums of its assets');
  });

  it('is no report that a check wrote', () => {
    expect(disagreement('a.json', sampleReport([bad, good]))).toBeNull();
    expect(disagreement('a.json', sampleReport([]))).toBeNull();
  });

  it('is none where an older one counts a file without a rig as sound, and is counted anew', () => {
    const bare = { ...good, path: 'lamp.glb', rigs: [] };
    const { 'nothing to judge': none, ...verdicts } = sampleReport([good, bare]).totals.verdicts;
    expect([none, verdicts.sound]).toEqual([0, 2]);
    const now = sampleReport([good, bare]);
    // The type is that of now.
    const older = { ...now, totals: { ...now.totals, verdicts } } as Report;
    expect(disagreement('older.json', older)).toBeNull();
    expect(disagreement('now.json', now)).toContain(
      'it says that lamp.glb is sound (0 errors, 0 warnings, 0 notes), but its findings say nothing to judge',
    );
    const { verdict, totals } = joined(older);
    expect([verdict, totals.verdicts]).toEqual([
      'sound',
      { sound: 1, unsound: 0, unreadable: 0, 'nothing to judge': 1 },
    ]);
  });

  it('fails the gate that it was changed to pass', async () => {
    const report = sampleReport([{ ...bad, verdict: 'sound' }]);
    const cwd = tempFolder({
      'a.json': writeJson(report),
      'b.json': writeJson(sampleReport([good])),
    });
    const { code, stderr } = await runCli(['merge', 'a.json', 'b.json', '-o', 'all.json'], { cwd });
    expect(code).toBe(1);
    expect(stderr).toMatch(/^trysquare: a\.json does not agree with itself: .*\n.*1 unsound.*\n$/);
    const all = JSON.parse(readFileSync(join(cwd, 'all.json'), 'utf8')) as Report;
    expect(all.totals.verdicts).toEqual({
      sound: 1,
      unsound: 1,
      unreadable: 0,
      'nothing to judge': 0,
    });
  });
});
