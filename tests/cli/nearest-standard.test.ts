import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { built } from '../support/built.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const worker = join(built.folder, 'bin/worker.cjs');
/** Its only error is of `axis.up`. */
const faulty = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });
const sound = buildGlb('mule');

/** A house with a standard, and a stage below with one of its own, in another unit. */
function house(stage: object, root: object = {}): string {
  return tempFolder({
    'trysquare.json': JSON.stringify(root),
    'heron.glb': faulty,
    'stage/trysquare.json': JSON.stringify(stage),
    'stage/heron.glb': faulty,
    'stage/deep/mule.glb': sound,
    'page.js': 'show();',
  });
}

const MILD = { levels: { axis: 'note' }, conventions: { unit: 'cm' } };

async function checked(cwd: string, ...args: string[]) {
  const run = await runCli(['check', ...args, '-f', 'json'], { cwd });
  return { ...run, assets: (JSON.parse(run.stdout) as Report).assets };
}

const held = ({ path, verdict, standard }: AssetReport): string =>
  [path, verdict, standard?.path ?? 'as the run', standard?.unit ?? ''].join(' ').trim();

describe('the nearest standard', () => {
  it('goes before the one above it, and the report of the asset says which', async () => {
    const { assets, code } = await checked(house(MILD), '.');
    expect(code).toBe(1);
    expect(assets.map(held)).toEqual([
      'heron.glb unsound as the run',
      'stage/deep/mule.glb sound stage/trysquare.json cm',
      'stage/heron.glb sound stage/trysquare.json cm',
    ]);
  });

  it('is that of the asset wherever the command runs', async () => {
    const cwd = house(MILD);
    const { assets } = await checked(join(cwd, 'stage/deep'), '../..');
    expect(assets.map(held)).toEqual([
      '../../heron.glb unsound ../../trysquare.json m',
      '../heron.glb sound as the run',
      'mule.glb sound as the run',
    ]);
  });

  it('gives way to one that is named, and to none', async () => {
    const cwd = house(MILD);
    for (const flags of [['--standard', 'trysquare.json'], ['--no-standard']]) {
      const { assets } = await checked(cwd, '.', ...flags);
      expect(assets.map(held)).toContain('stage/heron.glb unsound as the run');
      expect(assets.every(({ standard }) => standard === undefined)).toBe(true);
    }
  });

  it('is changed by the options, as the one of the run is', async () => {
    const cwd = house({ levels: { axis: 'error' } });
    const only = await checked(cwd, '.', '--only', 'name');
    expect(only.assets.map(({ verdict }) => verdict)).toEqual(['sound', 'sound', 'sound']);
    const never = await checked(cwd, '.', '--failing', 'never');
    expect(never.assets.map(({ standard }) => standard?.failing)).toEqual([
      undefined,
      'never',
      'never',
    ]);
    expect(never.code).toBe(0);
  });

  it('ends the run in one line where it is wrong, before anything is written', async () => {
    const cwd = house({ level: {} });
    const run = await runCli(['check', '.', '-o', 'r.json'], { cwd });
    expect(run).toMatchObject({ code: 2, stdout: '' });
    expect(run.stderr).toMatch(/^trysquare: the standard stage\/trysquare\.json is wrong .*\n$/);
    expect(() => readFileSync(join(cwd, 'r.json'))).toThrow('ENOENT');
  });

  it('is the same with workers, from a cache, and joined of parts', async () => {
    const cwd = house(MILD);
    const args = ['check', '.', '-f', 'json'];
    const { stdout } = await runCli(args, { cwd });
    expect((await runCli(args, { cwd, worker })).stdout).toBe(stdout);
    for (let time = 0; time < 2; time++)
      expect((await runCli([...args, '--cache', 'kept'], { cwd })).stdout).toBe(stdout);
    for (const at of [1, 2])
      await runCli(['check', '.', '--part', `${at}/2`, '-o', `p${at}.json`], { cwd });
    const merged = await runCli(['merge', 'p1.json', 'p2.json', '-f', 'json'], { cwd });
    expect(merged).toMatchObject({ code: 1, stderr: '', stdout });
    // Other settings, other reports: the cache gives out none of the old ones.
    writeFileSync(join(cwd, 'stage/trysquare.json'), '{}');
    const after = await checked(cwd, '.', '--cache', 'kept');
    expect(after.assets.map(held)).toContain('stage/heron.glb unsound stage/trysquare.json m');
  });
});

describe('its failing level', () => {
  it('judges its assets, in every format, and again where reports are joined', async () => {
    const cwd = house({ failing: 'never' });
    // A ledger judges anew, though it waives nothing.
    writeFileSync(join(cwd, 'trysquare.waivers.json'), '{ "waivers": [] }');
    const outs = ['r.json', 'r.txt', 'r.xml', 'r.md', 'r.sarif', 'r.html'];
    const flags = outs.flatMap((name) => ['-o', name]);
    const place = { cwd, pageScript: join(cwd, 'page.js') };
    expect((await runCli(['check', 'stage', ...flags], place)).code).toBe(0);
    const read = (name: string): string => readFileSync(join(cwd, name), 'utf8');
    expect(read('r.txt')).toContain(
      'heron.glb\n  Checked against the standard stage/trysquare.json, with the rest from\n  trysquare.json. No finding makes a rig unsound.',
    );
    expect(read('r.txt')).toMatch(/Verdict: sound\. Mend first axis\.up at/);
    expect(read('r.xml')).toContain('<property name="standard" value="stage/trysquare.json"/>');
    expect(read('r.xml')).toContain('<property name="failing" value="never"/>');
    expect(read('r.xml')).not.toContain('<failure');
    expect(read('r.md')).toContain(
      'heron.glb`, against `stage/trysquare.json`, with the rest from `trysquare.json` | sound',
    );
    expect(read('r.sarif')).toMatch(/"standard": ?"stage\/trysquare\.json"/);
    const page = read('r-pages/stage-heron.glb.html');
    expect(page).toContain(
      'against the standard stage/trysquare.json, with the rest from trysquare.json.',
    );
    expect(page).toContain('No finding makes a rig unsound in this run.');
    expect(page).not.toContain('<strong>makes the rig unsound</strong>');
    const merged = await runCli(['merge', 'r.json', '-f', 'text'], { cwd });
    expect(merged).toMatchObject({ code: 0, stderr: '' });
  });

  it('is told where only it is milder or stricter than that of the run', async () => {
    const cwd = house({ failing: 'error' }, { failing: 'warning' });
    const { stdout } = await runCli(['check', '.'], { cwd });
    expect(stdout.replace(/\s+/g, ' ')).toContain(
      'Checked against the standard stage/trysquare.json, with the rest from trysquare.json. Only findings at level error make a rig unsound.',
    );
  });

  it('holds for findings that a ledger leaves, whose rules are those that it ran', async () => {
    const cwd = house({ levels: { 'axis.up': 'none' } });
    const waiver = { rule: 'axis.up', joint: '*', why: 'a crank', by: 'the prop room' };
    const waivers = ['heron.glb', 'stage/heron.glb'].map((asset) => ({ ...waiver, asset }));
    writeFileSync(join(cwd, 'trysquare.waivers.json'), JSON.stringify({ waivers }));
    const { stdout } = await runCli(['check', '.', '-f', 'json'], { cwd });
    const { ledger } = JSON.parse(stdout) as Report;
    // The rule does not run on the stage, so nothing is known of the second waiver.
    expect(ledger).toMatchObject({ waived: 1, unmatched: [] });
  });
});

describe('other commands', () => {
  it('mend and draw go by the standard that is nearest to their file', async () => {
    const cwd = house({ conventions: { aim: '+X', up: '+Y' }, failing: 'never' });
    const args = ['stage/heron.glb', '--no-ledger'];
    const mend = await runCli(['mend', ...args, '--dry-run'], { cwd });
    const named = await runCli(
      ['mend', ...args, '--dry-run', '--standard', 'stage/trysquare.json'],
      { cwd },
    );
    const other = await runCli(['mend', ...args, '--dry-run', '--standard', 'trysquare.json'], {
      cwd,
    });
    expect(mend).toEqual(named);
    expect(mend.stdout).not.toBe(other.stdout);
    const drawn = async (...more: string[]) =>
      (await runCli(['draw', 'stage/heron.glb', ...more], { cwd })).stdout;
    expect(await drawn()).toBe(await drawn('--standard', 'stage/trysquare.json'));
    expect(await drawn()).not.toBe(await drawn('--standard', 'trysquare.json'));
  });
});
