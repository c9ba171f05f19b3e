import { readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { Report, RigReport } from '../../src/report/report-types.js';
import { built } from '../support/built.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const worker = join(built.folder, 'bin/worker.cjs');

const ledger = {
  waivers: [
    { rule: 'axis.up', asset: 'heron.glb', joint: '*', why: 'a crank', by: 'the prop room' },
  ],
};

/** A sound rig, an unsound one, and a file that is no asset. */
function wagon(): string {
  return tempFolder({
    'heron.glb': buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
    'mule.glb': buildGlb('mule'),
    'z.glb': 'cut',
    'trysquare.waivers.json': JSON.stringify(ledger),
  });
}

function rigsOf(text: string): RigReport[] {
  // What our own writer wrote.
  return (JSON.parse(text) as Report).assets.flatMap(({ rigs }) => rigs);
}

const hasAll = ({ joints, clipList }: RigReport): boolean =>
  joints.every(({ transforms }) => transforms !== undefined) && clipList !== undefined;
const hasNone = ({ joints, clipList }: RigReport): boolean =>
  joints.every(({ transforms }) => transforms === undefined) && clipList === undefined;

describe('check --transforms', () => {
  it('adds to the JSON report alone, in workers and without, and nowhere unasked', async () => {
    const cwd = wagon();
    const alone = await runCli(['check', '.', '--format', 'json', '--transforms'], { cwd });
    const others = ['r.sarif', 'r.csv', 'r.md', 'r.txt', 'r.html'];
    const outs = ['r.json', ...others].flatMap((name) => ['-o', name]);
    writeFileSync(join(cwd, 'page.js'), 'show();');
    const place = { cwd, worker, pageScript: join(cwd, 'page.js') };
    const read = (name: string): string => readFileSync(join(cwd, name), 'utf8');
    // A page holds the report as JSON.
    const readOthers = () => [...others, 'r-pages/mule.glb.html'].map(read);
    const more = await runCli(['check', '.', '--transforms', ...outs], place);
    const beside = readOthers();
    expect([alone.code, more.code]).toEqual([3, 3]);
    expect(read('r.json')).toBe(alone.stdout);
    expect(rigsOf(alone.stdout).map(hasAll)).toEqual([true, true]);
    await runCli(['check', '.', ...outs, '--replace'], place);
    expect(readOthers()).toEqual(beside);
    expect(rigsOf(read('r.json')).map(hasNone)).toEqual([true, true]);
  });

  it('is kept in a cache apart from reports without', async () => {
    const cwd = wagon();
    const args = ['check', '.', '--format', 'json', '--cache', 'kept'];
    const first = await runCli(args, { cwd });
    const more = await runCli([...args, '--transforms'], { cwd });
    expect(rigsOf(more.stdout).map(hasAll)).toEqual([true, true]);
    // Again, and now from the cache alone: the same bytes.
    expect((await runCli([...args, '--transforms'], { cwd })).stdout).toBe(more.stdout);
    expect((await runCli(args, { cwd })).stdout).toBe(first.stdout);
    expect(rigsOf(first.stdout).map(hasNone)).toEqual([true, true]);
    const entries = readdirSync(join(cwd, 'kept'), { recursive: true }).map(String);
    // Two rigs that were read, twice; the index of stamps lies beside them.
    expect(entries.filter((name) => /^..[\\/].{62}\.json$/.test(name))).toHaveLength(4);
  });

  it('parts of one run are joined to the report of one run, and a mixture is refused', async () => {
    const cwd = wagon();
    rmSync(join(cwd, 'z.glb'));
    const whole = await runCli(['check', '.', '--format', 'json', '--transforms'], { cwd });
    for (const at of [1, 2])
      await runCli(['check', '.', '--part', `${at}/2`, '--transforms', '-o', `p${at}.json`], {
        cwd,
      });
    const joined = await runCli(['merge', 'p1.json', 'p2.json', '--format', 'json'], { cwd });
    expect(joined.stdout).toBe(whole.stdout);
    const markdown = await runCli(['merge', 'p1.json', 'p2.json', '--format', 'markdown'], { cwd });
    expect(markdown.code).toBe(whole.code);
    expect(markdown.stdout).toContain('mule.glb');
    await runCli(['check', '.', '--part', '2/2', '-o', 'p2.json', '--replace'], { cwd });
    const mixed = await runCli(['merge', 'p1.json', 'p2.json', '--format', 'json'], { cwd });
    expect(mixed).toMatchObject({ code: 2, stdout: '' });
    expect(mixed.stderr).toBe(
      'trysquare: p1.json and p2.json were made with a different choice of --transforms: with it and without it\n',
    );
  });

  it.each([
    [['--format', 'sarif'], '--transforms is for JSON only; add --format json'],
    [[], '--transforms is for JSON only; add --format json'],
  ])('with %j is refused in one line', async (args, line) => {
    const run = await runCli(['check', '.', '--transforms', ...args], { cwd: wagon() });
    expect(run).toEqual({ code: 2, stdout: '', stderr: `trysquare: ${line}\n` });
  });

  it('is no option of merge, which has nothing to measure', async () => {
    const run = await runCli(['merge', 'a.json', '--transforms'], { cwd: tempFolder() });
    expect(run.code).toBe(2);
    expect(run.stderr).toContain("unknown option '--transforms'");
  });
});
