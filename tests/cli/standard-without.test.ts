import { readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import type { Report } from '../../src/report/report-types.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const sound = buildGlb('heron');

/** A house whose standard, in a folder of its own, leaves out what is old or a draft. */
function house(without: readonly string[] = ['puppets/old', '**/draft-*']): string {
  return tempFolder({
    'trysquare.json': JSON.stringify({ without }),
    'puppets/heron.glb': sound,
    'puppets/draft-mule.glb': 'cut off',
    'puppets/old/heron.glb': 'cut off',
    'other/old/heron.glb': sound,
  });
}

/** What was checked, and why nothing was, of a run in a folder of the house. */
async function checked(cwd: string, ...args: string[]): Promise<string[]> {
  const { stdout } = await runCli(['check', ...args, '-f', 'json'], { cwd });
  return (JSON.parse(stdout) as Report).assets.map(({ path, unreadable }) =>
    unreadable === null ? path : `${path}: ${unreadable.reason}`,
  );
}

describe('what a standard leaves out', () => {
  it('is left out of folders and patterns, relative to the folder of the standard', async () => {
    const cwd = house();
    expect(await checked(cwd, '.')).toEqual(['other/old/heron.glb', 'puppets/heron.glb']);
    expect(await checked(join(cwd, 'puppets'), '.')).toEqual(['heron.glb']);
    expect(await checked(join(cwd, 'other'), '..')).toEqual([
      '../puppets/heron.glb',
      'old/heron.glb',
    ]);
  });

  it('is left out together with what the command leaves out', async () => {
    expect(await checked(house(), '.', '--without', 'other')).toEqual(['puppets/heron.glb']);
  });

  it('is left out of every folder where its name has no slash', async () => {
    expect(await checked(house(['old', 'draft-*']), '.')).toEqual(['puppets/heron.glb']);
    const cwd = house([]);
    expect(await checked(cwd, '.', '--without', 'HER*', '--without', 'draft-*')).toEqual([
      '.: no asset is left: --without leaves out all that was found',
    ]);
    expect(
      await checked(cwd, '.', '--without', './old', '--without', 'draft-mule.glb'),
    ).toHaveLength(3);
    expect(
      await checked(join(cwd, 'other'), '../puppets', '--without', 'old', '--without', '**/d*'),
    ).toEqual(['../puppets/heron.glb']);
  });

  it('is told of a pattern of the command that left out nothing', async () => {
    const cwd = house();
    const { stderr } = await runCli(
      ['check', 'other', '--without', 'heron', '--without', 'heron.*'],
      { cwd },
    );
    expect(stderr).toContain(
      'trysquare: --without "heron" left out nothing: no file of a folder or pattern has this name or path\n',
    );
    expect(stderr).not.toContain('heron.*');
  });

  it('is checked when it is named itself, and without the standard', async () => {
    const cwd = house();
    expect(await checked(cwd, 'other/old/heron.glb', '--without', 'other')).toHaveLength(1);
    const [draft] = await checked(cwd, 'puppets/draft-mule.glb');
    expect(draft).toContain('puppets/draft-mule.glb: ');
    expect(await checked(cwd, '.', '--no-standard')).toHaveLength(4);
  });

  it('is told where nothing else was found, by the name of the standard', async () => {
    const cwd = house();
    expect(await checked(cwd, 'puppets/old')).toEqual([
      'puppets/old: no asset is left: the standard trysquare.json leaves out all that was found',
    ]);
    expect(await checked(join(cwd, 'puppets'), 'old/*.glb', 'old', '--without', 'old')).toEqual([
      'old: no asset is left: --without leaves out all that was found',
      'old/*.glb: no asset is left: --without leaves out all that was found',
    ]);
  });

  it('goes into the list that parts are made of', async () => {
    const cwd = house();
    for (const at of [1, 2])
      await runCli(['check', '.', '--part', `${at}/2`, '-o', `p${at}.json`], { cwd });
    const { code, stdout } = await runCli(['merge', 'p1.json', 'p2.json', '-f', 'json'], { cwd });
    expect(code).toBe(0);
    expect((JSON.parse(stdout) as Report).assets).toHaveLength(2);
  });

  it('is a fault of the standard, in one line, where a pattern is absolute', async () => {
    const cwd = house();
    writeFileSync(join(cwd, 'trysquare.json'), '{\n  "without": ["/old"]\n}');
    const run = await runCli(['check', '.', '-o', 'r.json'], { cwd });
    expect(run).toMatchObject({ code: 2, stdout: '' });
    expect(run.stderr).toBe(
      'trysquare: the standard trysquare.json is wrong at line 2, column 15: "without" has "/old", an absolute path; write it relative to the folder of this file\n',
    );
    expect(readdirSync(cwd)).not.toContain('r.json');
  });
});
