import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

/** Its only error is of `axis.up`. */
const faulty = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });
const sound = buildGlb('mule');

interface Files {
  readonly root?: object;
  readonly stage?: object;
  readonly deep?: object;
  readonly more?: Readonly<Record<string, string | Uint8Array>>;
}

/** A house with standards in three folders, one below the other. */
function house({ root = {}, stage = {}, deep = {}, more = {} }: Files): string {
  return tempFolder({
    'trysquare.json': JSON.stringify(root),
    'heron.glb': faulty,
    'stage/trysquare.json': JSON.stringify(stage),
    'stage/heron.glb': faulty,
    'stage/deep/trysquare.json': JSON.stringify(deep),
    'stage/deep/heron.glb': faulty,
    'page.js': 'show();',
    ...more,
  });
}

async function checked(cwd: string, ...args: string[]) {
  const run = await runCli(['check', ...args, '-f', 'json', '--no-ledger'], { cwd });
  return { ...run, report: JSON.parse(run.stdout) as Report };
}

const levels = ({ path, findings }: AssetReport): string =>
  `${path}: ${findings.map(({ rule, level }) => `${rule} ${level}`).join(', ')}`;

describe('standards above an asset', () => {
  it('say what the nearer ones leave out', async () => {
    const cwd = house({
      root: { levels: { 'axis.up': 'note' }, conventions: { unit: 'cm' } },
      stage: { failing: 'note' },
      deep: { levels: { 'axis.up': 'warning' } },
    });
    const { report } = await checked(cwd, '.');
    expect(report.assets.map(levels)).toEqual([
      'heron.glb: axis.up note',
      'stage/deep/heron.glb: axis.up warning',
      'stage/heron.glb: axis.up note',
    ]);
    expect(report.assets.map(({ verdict }) => verdict)).toEqual(['sound', 'unsound', 'unsound']);
    const [, deep] = report.assets;
    expect(deep?.standard).toMatchObject({
      path: 'stage/deep/trysquare.json',
      above: ['stage/trysquare.json', 'trysquare.json'],
      unit: 'cm',
      failing: 'note',
    });
  });

  it('are those of the run too, from the folder that it runs in', async () => {
    const cwd = house({ root: { levels: { 'axis.up': 'note' } }, stage: { failing: 'never' } });
    const { report } = await checked(join(cwd, 'stage'), 'heron.glb');
    expect(report).toMatchObject({
      standard: 'trysquare.json',
      standardAbove: ['../trysquare.json'],
      failing: 'never',
    });
    expect(report.assets.map(levels)).toEqual(['heron.glb: axis.up note']);
  });

  it('do not count for one that stands alone, nor for one that is named', async () => {
    const root = { levels: { 'axis.up': 'note' } };
    const alone = await checked(house({ root, stage: { alone: true } }), 'stage');
    expect(alone.report.assets.map(levels)).toEqual([
      'stage/deep/heron.glb: axis.up error',
      'stage/heron.glb: axis.up error',
    ]);
    const named = await checked(house({ root }), 'stage', '--standard', 'stage/trysquare.json');
    expect(named.report.assets.map(levels)[0]).toBe('stage/deep/heron.glb: axis.up error');
    expect(named.report.standardAbove).toBeUndefined();
  });

  it('ask for what --only leaves, each for its own assets', async () => {
    const cwd = house({ deep: { contract: { joints: { most: 9 } } } });
    const { report, code } = await checked(cwd, '.', '--only', 'house');
    expect([report.assets.map(levels), code]).toEqual([
      ['heron.glb: ', 'stage/deep/heron.glb: house.joints warning', 'stage/heron.glb: '],
      0,
    ]);
    const none = await runCli(['check', 'heron.glb', '--only', 'house', '-o', 'r.json'], { cwd });
    expect([none.code, none.stderr]).toEqual([
      2,
      expect.stringContaining('no standard asks for the rules that --only leaves'),
    ]);
    expect(() => readFileSync(join(cwd, 'r.json'))).toThrow('ENOENT');
  });

  it('end the run in one line that names the file that is wrong', async () => {
    const cwd = house({ stage: { level: {} } });
    const run = await runCli(['check', 'stage/deep', '-o', 'r.json'], { cwd });
    expect(run).toMatchObject({ code: 2, stdout: '' });
    expect(run.stderr).toMatch(/^trysquare: the standard stage\/trysquare\.json is wrong .*\n$/);
    expect(() => readFileSync(join(cwd, 'r.json'))).toThrow('ENOENT');
  });

  it('change what a cache gives out', async () => {
    const cwd = house({});
    await checked(cwd, '.', '--cache', 'kept');
    writeFileSync(join(cwd, 'trysquare.json'), '{ "levels": { "axis.up": "note" } }');
    const { report } = await checked(cwd, '.', '--cache', 'kept');
    expect(report.assets.map(levels)).toContain('stage/deep/heron.glb: axis.up note');
  });

  it('are named in every report', async () => {
    const cwd = house({});
    const outs = ['r.txt', 'r.xml', 'r.md', 'r.sarif', 'r.html', 'r.json'];
    const flags = outs.flatMap((name) => ['-o', name]);
    await runCli(['check', 'stage', ...flags], { cwd, pageScript: join(cwd, 'page.js') });
    const read = (name: string): string => readFileSync(join(cwd, name), 'utf8');
    const words =
      'against the standard stage/deep/trysquare.json, with the rest from stage/trysquare.json, then trysquare.json.';
    expect(read('r.txt').replace(/\s+/g, ' ')).toContain(words);
    expect(read('r-pages/stage-deep-heron.glb.html')).toContain(words);
    expect(read('r.md')).toContain(
      'against `stage/deep/trysquare.json`, with the rest from `stage/trysquare.json`, then `trysquare.json` |',
    );
    expect(read('r.xml')).toContain(
      '<property name="standard above" value="stage/trysquare.json"/>',
    );
    expect(read('r.sarif').replace(/\s+/g, '')).toContain(
      '"standardAbove":["stage/trysquare.json","trysquare.json"]',
    );
    for (const name of ['stage', 'stage/deep'])
      await runCli(['check', '.', '-o', 'r.json'], { cwd: join(cwd, name) });
    const merged = await runCli(['merge', 'r.json', '-f', 'text'], { cwd: join(cwd, 'stage') });
    expect(merged.stdout).toContain('the standard trysquare.json, with the rest from');
    expect(merged.stderr).toBe('');
  });
});

describe('what standards above an asset leave out', () => {
  const more = {
    'stage/deep/draft-mule.glb': 'cut off',
    'stage/deep/old/mule.glb': 'cut off',
    'stage/mule.glb': sound,
  };
  const paths = async (cwd: string, ...args: string[]): Promise<string[]> =>
    (await checked(cwd, ...args)).report.assets.map(({ path }) => path);

  it('is left out by all of them, each relative to its own folder', async () => {
    const cwd = house({ root: { without: ['**/draft-*'] }, deep: { without: ['old'] }, more });
    expect(await paths(cwd, '.')).toEqual([
      'heron.glb',
      'stage/deep/heron.glb',
      'stage/heron.glb',
      'stage/mule.glb',
    ]);
    expect(await paths(cwd, 'stage/*.glb', '--without', 'stage/mule.glb')).toEqual([
      'stage/heron.glb',
    ]);
  });

  it('is checked in a folder whose standard stands alone, unless that folder is left out', async () => {
    const deep = { alone: true };
    const open = house({ root: { without: ['**/draft-*', '**/old'] }, deep, more });
    expect(await paths(open, '.')).toContain('stage/deep/draft-mule.glb');
    expect(await paths(open, '.')).toContain('stage/deep/old/mule.glb');
    const shut = house({ stage: { without: ['deep'] }, deep, more });
    expect(await paths(shut, '.')).toEqual(['heron.glb', 'stage/heron.glb', 'stage/mule.glb']);
    expect(await paths(shut, 'stage/deep')).toHaveLength(3);
  });

  it('is told by the name of the standard where nothing else is found', async () => {
    const cwd = house({ stage: { without: ['deep'] } });
    const { report } = await checked(cwd, 'stage/deep/*.glb');
    expect(report.assets[0]?.unreadable?.reason).toBe(
      'no asset is left: the standard stage/trysquare.json leaves out all that was found',
    );
  });
});

describe('other commands', () => {
  it('mend, draw and grade go by the standards above, too', async () => {
    const cwd = house({
      root: { conventions: { aim: '+X', up: '+Y' } },
      stage: { failing: 'never' },
      more: { 'all.json': '{ "conventions": { "aim": "+X", "up": "+Y" }, "failing": "never" }' },
    });
    const both = async (...args: string[]) => {
      const plain = await runCli(args, { cwd });
      return [plain, await runCli([...args, '--standard', 'all.json'], { cwd })] as const;
    };
    const [mend, mendNamed] = await both('mend', 'stage/heron.glb', '--dry-run', '--no-ledger');
    expect(mend).toEqual(mendNamed);
    const [draw, drawNamed] = await both('draw', 'stage/heron.glb', '--no-ledger');
    expect(draw).toEqual(drawNamed);
    writeFileSync(join(cwd, 'trysquare.json'), '{ "points": { "axis": 7 } }');
    const grade = await runCli(['grade', 'deep', '--out', 'grades'], { cwd: join(cwd, 'stage') });
    expect(grade.stdout).toContain('of 7');
  });

  it('a standard that init writes changes nothing of what those above say', async () => {
    const cwd = tempFolder({
      'trysquare.json':
        '{ "conventions": { "unit": "cm" }, "failing": "warning", "rest": "posed", "levels": { "axis.up": "note" } }',
      'stage/heron.glb': faulty,
    });
    const before = await checked(cwd, 'stage');
    const stage = join(cwd, 'stage');
    expect((await runCli(['standard', 'init'], { cwd: stage })).code).toBe(0);
    const after = await checked(cwd, 'stage');
    const [asset] = after.report.assets;
    expect(asset?.standard).toMatchObject({ failing: 'warning', unit: 'cm' });
    expect(asset?.standard?.settings).toBe(before.report.settings);
  });

  it('approved rigs are sound under the standard that is read off them, whatever stands above', async () => {
    const cwd = tempFolder({
      'trysquare.json': '{ "contract": { "joints": { "forbidden": ["head"] } } }',
      'stage/mule.glb': sound,
    });
    expect((await checked(cwd, 'stage')).code).toBe(1);
    const stage = join(cwd, 'stage');
    await runCli(['standard', 'init', '--like', 'mule.glb'], { cwd: stage });
    expect((await checked(cwd, 'stage')).code).toBe(0);
  });
});
