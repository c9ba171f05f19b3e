import { execFileSync } from 'node:child_process';
import { mkdirSync, symlinkSync, unlinkSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { Report } from '../../src/report/report-types.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const sound = buildGlb('heron');
const faulty = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

/** A folder of files, with links in it: what is written in each, by its path. */
function theatre(
  files: Readonly<Record<string, string | Uint8Array>>,
  links: Readonly<Record<string, string>>,
): string {
  const cwd = tempFolder(files);
  for (const [path, target] of Object.entries(links)) symlinkSync(target, join(cwd, path));
  return cwd;
}

/** The exit code, and each path in order with its verdict, or the reason why it cannot be read. */
async function check(cwd: string, ...args: string[]): Promise<readonly [number, string[]]> {
  const { code, stdout } = await runCli(['check', ...args, '--format', 'json'], { cwd });
  // What the command writes as JSON is its report.
  const { assets } = JSON.parse(stdout) as Report;
  return [
    code,
    assets.map(({ path, verdict, unreadable }) => `${path}: ${unreadable?.reason ?? verdict}`),
  ];
}

describe('a folder that is searched', () => {
  it('has a link to a file in it for an asset, under the name of the link', async () => {
    const cwd = theatre(
      { 'cast/heron.glb': sound, 'cast/.kept/4f07': faulty, 'cast/act/x.txt': '' },
      { 'cast/again.glb': 'heron.glb', 'cast/act/beetle.glb': '../.kept/4f07' },
    );
    expect(await check(cwd, 'cast')).toEqual([
      1,
      ['cast/act/beetle.glb: unsound', 'cast/again.glb: sound', 'cast/heron.glb: sound'],
    ]);
  });

  it('made of links out of it does not pass', async () => {
    const cwd = theatre(
      { 'store/heron.glb': sound, 'store/act/mule.glb': faulty, 'cast/x.txt': '' },
      { 'cast/heron.glb': '../store/heron.glb', 'cast/act': '../store/act' },
    );
    expect(await check(cwd, 'cast')).toEqual([
      3,
      [
        'cast/act: it is a link to a folder outside the folders that are searched (../store/act); name that folder, too',
        'cast/heron.glb: it is a link to a file outside the folders that are searched (../store/heron.glb); name the file itself, or a folder that contains both',
      ],
    ]);
    // As it says.
    const both = ['cast/heron.glb: sound', 'store/act/mule.glb: unsound', 'store/heron.glb: sound'];
    expect(await check(cwd, 'cast', 'store')).toEqual([1, both]);
    expect(await check(cwd, '.')).toEqual([1, both]);
    expect(await check(cwd, 'cast/heron.glb')).toEqual([0, ['cast/heron.glb: sound']]);
  });

  it('tells each link that leads to no file or folder, and checks the rest', async () => {
    const cwd = theatre(
      { 'cast/heron.glb': sound },
      {
        'cast/gone.glb': '../gone.glb',
        'cast/unmounted': '/no/such/store',
        'cast/round': 'round',
        'cast/to-fro.glb': 'fro-to.glb',
        'cast/fro-to.glb': 'to-fro.glb',
        'cast/self': '.',
        'cast/zero.glb': '/dev/zero',
        'cast/through.glb': 'heron.glb/x',
      },
    );
    execFileSync('mkfifo', [join(cwd, 'cast/pipe.glb')]);
    const circle = 'it is a link that leads back to itself; remove the link';
    expect(await check(cwd, 'cast')).toEqual([
      3,
      [
        `cast/fro-to.glb: ${circle}`,
        'cast/gone.glb: it is a link to something that does not exist (../gone.glb); correct or remove the link',
        'cast/heron.glb: sound',
        'cast/pipe.glb: it is not a regular file',
        `cast/round: ${circle}`,
        'cast/self: it is a link back to a folder that contains it (.); remove the link',
        'cast/through.glb: it is a link to something that does not exist (heron.glb/x); correct or remove the link',
        `cast/to-fro.glb: ${circle}`,
        'cast/unmounted: it is a link to something that does not exist (/no/such/store); correct or remove the link',
        'cast/zero.glb: it is a link to something that is not a regular file',
      ],
    ]);
  });

  it('has what a link to a folder leads to once, by its own path where it has one', async () => {
    const cwd = theatre(
      { 'cast/v3/heron.glb': sound, 'cast/.kept/mule.glb': faulty },
      {
        'cast/a-latest': 'v3',
        'cast/v3/other': '../.kept',
        'cast/kept': '.kept',
        'cast/.kept/back': '../v3',
      },
    );
    expect(await check(cwd, 'cast')).toEqual([
      1,
      ['cast/a-latest/other/mule.glb: unsound', 'cast/v3/heron.glb: sound'],
    ]);
  });

  it('has what is left out under one name under another', async () => {
    const cwd = theatre(
      { 'cast/old/heron.glb': faulty, 'cast/mule.glb': sound },
      { 'cast/now': 'old', 'cast/out': '/' },
    );
    expect(await check(cwd, 'cast', '--without', 'cast/old', '--without', 'cast/out')).toEqual([
      1,
      ['cast/mule.glb: sound', 'cast/now/heron.glb: unsound'],
    ]);
  });

  it('has a link without the ending of an asset to a file that has one', async () => {
    const cwd = theatre(
      { 'cast/.kept/heron.glb': faulty, 'cast/mule.glb': sound, 'out/mule.glb': sound, note: '' },
      {
        'cast/now': '.kept/heron.glb',
        'cast/again': 'mule.glb',
        'cast/far': '../out/mule.glb',
        'cast/note': '../note',
      },
    );
    expect(await check(cwd, 'cast')).toEqual([
      3,
      [
        'cast/far: it is a link to a file outside the folders that are searched (../out/mule.glb); name the file itself, or a folder that contains both',
        'cast/mule.glb: sound',
        'cast/now: unsound',
      ],
    ]);
  });

  it('may have a folder with the name of an asset, in which assets alone are assets', async () => {
    const cwd = tempFolder({ 'cast/heron.glb/notes.txt': '', 'cast/heron.glb/mule.glb': sound });
    expect(await check(cwd, 'cast')).toEqual([0, ['cast/heron.glb/mule.glb: sound']]);
  });

  it('is searched the same by a link that is named', async () => {
    const cwd = theatre({ 'store/heron.glb': sound, 'store/.k/4f': sound }, { cast: 'store' });
    symlinkSync('.k/4f', join(cwd, 'store/mule.glb'));
    expect(await check(cwd, 'cast')).toEqual([
      0,
      ['cast/heron.glb: sound', 'cast/mule.glb: sound'],
    ]);
  });
});

describe('a pattern', () => {
  it('finds links as it finds files, and is told of those that it would have gone through', async () => {
    const cwd = theatre(
      { 'cast/heron.glb': sound, 'cast/v3/mule.glb': faulty, 'out/mule.glb': sound },
      {
        'cast/again.glb': 'heron.glb',
        'cast/far.glb': '../out/mule.glb',
        'cast/latest': 'v3',
        'cast/out': '../out',
        'cast/gone.png': 'nowhere.png',
      },
    );
    const far = `cast/far.glb: it is a link to a file outside the folders that are searched (../out/mule.glb); name the file itself, or a folder that contains both`;
    expect(await check(cwd, 'cast/*.glb')).toEqual([
      3,
      ['cast/again.glb: sound', far, 'cast/heron.glb: sound'],
    ]);
    expect(await check(cwd, 'cast/la*/*.glb')).toEqual([1, ['cast/latest/mule.glb: unsound']]);
    expect((await check(cwd, 'cast/*/mule.glb'))[1]).toEqual([
      'cast/gone.png: it is a link to something that does not exist (nowhere.png); correct or remove the link',
      'cast/out: it is a link to a folder outside the folders that are searched (../out); name that folder, too',
      'cast/v3/mule.glb: unsound',
    ]);
  });

  it('of reports to join tells of a link that leads out', async () => {
    const cwd = theatre({ 'cast/heron.glb': sound, 'cast/mule.glb': sound, 'r/x': '' }, {});
    for (const part of [1, 2])
      await runCli(['check', 'cast', '--part', `${part}/2`, '-o', `part-${part}.json`], { cwd });
    symlinkSync('../part-1.json', join(cwd, 'r/part-1.json'));
    symlinkSync('../part-2.json', join(cwd, 'r/part-2.json'));
    expect((await runCli(['merge', 'r/*.json'], { cwd })).stderr).toBe(
      'trysquare: r/part-1.json: it is a link to a file outside the folders that are searched (../part-1.json); name the file itself, or a folder that contains both\n',
    );
    expect((await runCli(['merge', 'r/part-1.json', 'r/part-2.json'], { cwd })).code).toBe(0);
  });
});

describe('parts and the cache', () => {
  const files = { 'cast/heron.glb': sound, 'cast/.kept/4f07': faulty, 'cast/.kept/5a11': sound };
  const links = {
    'cast/beetle.glb': '.kept/4f07',
    'cast/gone.glb': 'nowhere.glb',
    'cast/mule.glb': 'heron.glb',
  };

  it('have each link in one part, and joined the report of one run', async () => {
    const cwd = theatre(files, links);
    const [, whole] = await check(cwd, 'cast');
    const parts = await Promise.all(
      ['1/3', '2/3', '3/3'].map((part) => check(cwd, 'cast', '--part', part)),
    );
    expect(whole).toHaveLength(4);
    expect(parts.flatMap(([, assets]) => assets).sort()).toEqual(whole);
  });

  it('see that a link leads to another file', async () => {
    const cwd = theatre(files, links);
    const run = () => check(cwd, 'cast', '--cache', 'kept');
    const first = await run();
    expect(first[1]).toContain('cast/beetle.glb: unsound');
    expect(await run()).toEqual(first);
    unlinkSync(join(cwd, 'cast/beetle.glb'));
    symlinkSync('.kept/5a11', join(cwd, 'cast/beetle.glb'));
    expect((await run())[1]).toContain('cast/beetle.glb: sound');
  });
});

it('a submission that links into another is not graded by that', async () => {
  const cwd = theatre(
    { 'class/first/heron.glb': sound, 'class/second/notes.txt': '', 'class/third/.k/h': sound },
    { 'class/second/heron.glb': '../first/heron.glb', 'class/third/heron.glb': '.k/h' },
  );
  const { code, stdout } = await runCli(['grade', 'class'], { cwd });
  expect(code).toBe(3);
  const rows = stdout.split('\n').filter((line) => /^(first|second|third) /.test(line));
  expect(rows).toEqual([
    expect.stringMatching(/^first +100/),
    expect.stringMatching(/^second +[^\d ]/),
    expect.stringMatching(/^third +100/),
  ]);
});

it('links that cross, so that there are more ways than anyone can go, are told in one line', async () => {
  const cwd = tempFolder();
  // Two ways at each of 16 steps: 65,536 in all.
  const steps = Array.from({ length: 16 }, (_, at) => `cast/.step-${at}`);
  for (const step of steps) mkdirSync(join(cwd, step), { recursive: true });
  steps.forEach((step, at) => {
    for (const way of ['left', 'right'])
      if (at + 1 < steps.length) symlinkSync(`../.step-${at + 1}`, join(cwd, step, way));
  });
  symlinkSync('.step-0', join(cwd, 'cast/begin'));
  const start = Date.now();
  const [code, assets] = await check(cwd, 'cast');
  expect(Date.now() - start).toBeLessThan(10_000);
  expect([code, assets]).toEqual([
    3,
    [expect.stringContaining('links lead to the same folders more than 2000 times')],
  ]);
});
