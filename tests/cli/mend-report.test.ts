import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv } from 'ajv';
import { describe, expect, it, vi } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { UsageError } from '../../src/asset/errors.js';
import type { MendRecord } from '../../src/cli/mend/mend-record.js';
import { MendReport } from '../../src/cli/mend/mend-report.js';
import { mendReportSchema } from '../../src/cli/mend/mend-report-schema.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const faulty = (name: string): Uint8Array => {
  const fault = faultNamed(name);
  return buildGlb(fault.puppet, { faults: [fault] });
};

interface Report {
  readonly assets: readonly MendRecord[];
  readonly totals: { readonly assets: number; readonly sound: number; readonly outcomes: object };
  readonly partial: unknown;
  readonly part: unknown;
  readonly dryRun: boolean;
  readonly asked: object;
}

// JSON Schema, draft-07, as the package ajv checks it.
const ajv = new Ajv({ strict: true, allErrors: true, allowUnionTypes: true });
const isValid = ajv.compile(mendReportSchema);

/** The report at a path, which must be one by its schema. */
function reportAt(cwd: string, name = 'mend.json'): Report {
  const report: unknown = JSON.parse(readFileSync(join(cwd, name), 'utf8'));
  expect(isValid(report) ? [] : isValid.errors).toEqual([]);
  // The schema holds it to that.
  return report as Report;
}

describe('the report of a mend', () => {
  it('tells of each asset what was found, changed, left, proved and written', async () => {
    const cwd = tempFolder({
      'cast/bent.glb': faulty('bent-elbow'),
      'cast/cut.glb': faulty('flipped-shin').slice(0, 900),
      'cast/heron.glb': buildGlb('heron', {
        faults: ['flipped-shin', 'two-of-one-name'].map(faultNamed),
      }),
      'cast/mule.glb': buildGlb('mule'),
      'cast/torn.glb': faulty('torn-forearm'),
    });
    const args = ['mend', 'cast', '--out-dir', 'out', '--also', 'name', '--rest-from', 'bind'];
    const { code } = await runCli([...args, '--report', 'mend.json'], { cwd });
    const { assets, totals, partial, part, dryRun, asked } = reportAt(cwd);
    expect([code, partial, part, dryRun]).toEqual([3, null, null, false]);
    expect(asked).toMatchObject({ only: null, restFrom: 'bind', convention: null });
    expect(assets.map(({ path, outcome }) => [path, outcome])).toEqual([
      ['cast/bent.glb', 'refused'],
      ['cast/cut.glb', 'unreadable'],
      ['cast/heron.glb', 'written'],
      ['cast/mule.glb', 'left'],
      ['cast/torn.glb', 'refused'],
    ]);
    expect(totals).toMatchObject({
      assets: 5,
      sound: 2,
      outcomes: { written: 1, left: 1, refused: 2, unreadable: 1, copied: 0 },
    });
    const [bent, cut, heron, mule] = assets;
    expect(bent).toMatchObject({
      why: 'it would change what is seen',
      after: null,
      proof: null,
      offence: {
        rules: ['rest.bind'],
        proof: { isProof: false, most: { percentOfSize: expect.any(Number), at: { clip: null } } },
      },
    });
    expect(bent?.offence?.proof.most.percentOfSize).toBeGreaterThan(1);
    expect(cut?.why).not.toBe('');
    expect(heron).toMatchObject({
      out: 'out/heron.glb',
      before: { verdict: 'unsound' },
      after: { verdict: 'sound', counts: { error: 0, warning: 0, note: 0 } },
      changes: [
        { rule: 'axis.up', before: 'frame 180° off', after: 'aim +Y, up +Z' },
        { rule: 'name.duplicate' },
      ],
      findings: { new: [], spread: [], risen: [], left: [] },
      proof: { isProof: true, limits: { percentOfSize: 0.001, degrees: 0.01 } },
      files: [
        { path: 'out/heron.names.json', holds: 'names' },
        { path: 'out/heron.glb', holds: 'asset' },
      ],
    });
    expect(heron?.findings?.gone.map(({ rule }) => rule).sort()).toEqual([
      'axis.up',
      'name.duplicate',
    ]);
    expect(heron?.proof?.most.percentOfSize).toBeLessThanOrEqual(0.001);
    expect(heron?.proof?.vertices).toBeGreaterThan(1000);
    expect(heron?.renamed).toHaveLength(4);
    expect(mule).toMatchObject({ out: null, changes: [], before: { verdict: 'sound' } });
  });

  it('is written of one asset, too: mended, only planned, or unreadable', async () => {
    const cwd = tempFolder({ 'heron.glb': faulty('flipped-shin'), 'cut.glb': 'glTF' });
    const run = (...args: string[]) => runCli(['mend', ...args], { cwd });
    expect((await run('heron.glb', '-o', 'm.glb', '--report', 'a.json')).code).toBe(0);
    expect(reportAt(cwd, 'a.json').assets).toMatchObject([{ outcome: 'written', out: 'm.glb' }]);
    expect((await run('heron.glb', '--dry-run', '--report', 'b.json')).code).toBe(0);
    expect(reportAt(cwd, 'b.json')).toMatchObject({
      dryRun: true,
      assets: [{ outcome: 'planned', out: null }],
    });
    expect((await run('cut.glb', '--dry-run', '--report', 'c.json')).code).toBe(3);
    expect(reportAt(cwd, 'c.json').assets).toMatchObject([{ outcome: 'unreadable', before: null }]);
    expect((await run('heron.glb', '--in-place', '--report', 'a.json', '--replace')).code).toBe(0);
    expect(reportAt(cwd, 'a.json').assets[0]?.files.map(({ holds }) => holds)).toEqual([
      'backup',
      'asset',
    ]);
  });

  it('tells what a change that is allowed comes to, and files that stayed behind', async () => {
    const built = build('heron', {
      container: 'gltf-external',
      faults: [faultNamed('flipped-shin')],
    });
    const json = JSON.parse(Buffer.from(built.files.get(built.main) ?? []).toString()) as object;
    const cwd = tempFolder({
      ...Object.fromEntries([...built.files].map(([name, bytes]) => [`cast/${name}`, bytes])),
      'cast/heron.gltf': JSON.stringify({ ...json, images: [{ uri: 'gone.png' }] }),
      'cast/bent.glb': faulty('bent-elbow'),
    });
    const allow = ['--rest-from', 'bind', '--allow-change', 'rest.bind'];
    await runCli(['mend', 'cast', '--out-dir', 'out', ...allow, '--report', 'mend.json'], { cwd });
    const [bent, heron] = reportAt(cwd).assets;
    expect(bent).toMatchObject({ allowed: [{ rules: ['rest.bind'] }], proof: { isProof: false } });
    expect(heron?.notTaken).toEqual([{ uri: 'gone.png', why: 'there is no such file' }]);
  });

  it('is not written over an asset, over what is made of one, or in part', async () => {
    const cwd = tempFolder({ 'cast/heron.glb': faulty('flipped-shin') });
    const into = ['mend', 'cast', '--out-dir', 'out', '--replace', '--report'];
    const wrong = await runCli([...into, 'cast/heron.glb'], { cwd });
    expect([wrong.code, existsSync(join(cwd, 'out'))]).toEqual([2, false]);
    const gone = await runCli([...into, 'none/mend.json'], { cwd });
    expect([gone.code, gone.stderr]).toEqual([
      2,
      expect.stringContaining('its folder does not exist'),
    ]);
    expect(existsSync(join(cwd, 'out'))).toBe(false);
  });

  it('takes the place of no file that goes with an asset', async () => {
    const cwd = tempFolder({ 'cast/heron.glb': faulty('two-of-one-name') });
    const ways = [
      ['cast', '--out-dir', 'out', '--report', 'out/heron.names.json'],
      ['cast/heron.glb', '-o', 'heron.glb', '--report', 'heron.names.json'],
    ];
    // Into a folder that is there, under the name of the list of names.
    mkdirSync(join(cwd, 'out'));
    for (const way of ways) {
      const run = await runCli(['mend', ...way, '--also', 'name', '--replace'], { cwd });
      expect([run.code, run.stdout + run.stderr]).toEqual([
        2,
        expect.stringContaining('heron.names.json is to hold the report or the page, too'),
      ]);
      expect(reportAt(cwd, way.at(-1)).assets).toMatchObject([{ outcome: 'failed', out: null }]);
    }
  });

  it('may lie in the folder that the run makes, which is gone again where it comes to nothing', async () => {
    const cwd = tempFolder({
      'cast/heron.glb': faulty('flipped-shin'),
      'mule.glb': buildGlb('mule'),
    });
    const args = (path: string, ...rest: string[]) => {
      return ['mend', path, '--out-dir', 'out', '--report', 'out/told/mend.json', ...rest];
    };
    const { code, stderr } = await runCli(args('cast'), { cwd });
    expect([code, stderr]).toEqual([0, '']);
    expect(reportAt(cwd, 'out/told/mend.json').assets).toMatchObject([{ outcome: 'written' }]);
    rmSync(join(cwd, 'out'), { recursive: true });
    // Nothing is written but the report, which was asked for.
    expect((await runCli(args('mule.glb'), { cwd })).code).toBe(0);
    expect(readdirSync(join(cwd, 'out'), { recursive: true })).toEqual(['told', 'told/mend.json']);
    rmSync(join(cwd, 'out'), { recursive: true });
    vi.spyOn(MendReport.prototype, 'end').mockRejectedValueOnce(new UsageError('the disk is gone'));
    const failed = await runCli(args('mule.glb'), { cwd });
    vi.restoreAllMocks();
    expect([failed.code, failed.stderr]).toEqual([2, 'trysquare: the disk is gone\n']);
    expect(existsSync(join(cwd, 'out'))).toBe(false);
  });

  it('fails its schema where a part of it is missing or wrong', async () => {
    const cwd = tempFolder({ 'heron.glb': faulty('flipped-shin') });
    await runCli(['mend', 'heron.glb', '--dry-run', '--report', 'mend.json'], { cwd });
    const report = reportAt(cwd);
    const [asset] = report.assets;
    expect(isValid({ ...report, assets: [{ ...asset, outcome: 'fine' }] })).toBe(false);
    expect(isValid({ ...report, assets: [{ ...asset, proof: {} }] })).toBe(false);
    expect(isValid({ ...report, more: 1 })).toBe(false);
  });
});
