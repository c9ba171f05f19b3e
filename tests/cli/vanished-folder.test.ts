import { spawnSync } from 'node:child_process';
import { mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { built } from '../support/built.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const heron = buildGlb('heron');

describe('a folder that is gone before the command starts', () => {
  const bin = join(built.folder, 'bin/trysquare.cjs');

  it.each([
    { args: ['check', 'heron.glb'] },
    { args: ['check', '.', '--out', 'r.json'] },
    { args: ['draw', '/no/such/heron.glb'] },
    { args: ['mend', 'heron.glb', '--dry-run'] },
    { args: ['mend', '.', '--out-dir', 'out'] },
    { args: ['grade', 'class'] },
    { args: ['standard', 'init'] },
  ])('is told in one line by $args', ({ args }) => {
    const cwd = join(tempFolder(), 'gone');
    mkdirSync(cwd);
    const script = 'rmdir "$PWD" && exec "$@"';
    const { status, stderr } = spawnSync(
      'sh',
      ['-c', script, 'sh', process.execPath, bin, ...args],
      {
        cwd,
        encoding: 'utf8',
      },
    );
    expect([status, stderr]).toEqual([
      2,
      'trysquare: the folder that this command runs in does not exist any more; change to a folder that exists, and run it again\n',
    ]);
  });

  it('is nothing to a command that needs none', () => {
    const cwd = join(tempFolder(), 'gone');
    mkdirSync(cwd);
    const script = 'rmdir "$PWD" && exec "$@"';
    const args = ['-c', script, 'sh', process.execPath, bin, 'rules', 'axis'];
    const { status, stdout } = spawnSync('sh', args, { cwd, encoding: 'utf8' });
    expect([status, stdout]).toEqual([0, expect.stringContaining('axis.up')]);
  });
});

describe('a folder that goes while the command runs', () => {
  const gone = (cwd: string): string =>
    `trysquare: the folder that this command runs in, ${cwd}, does not exist any more; run the command again in a folder that exists\n`;

  it('is told in one line after what was checked by then', async () => {
    const names = ['a', 'b', 'c', 'd', 'e'].map((name) => `${name}.glb`);
    const cwd = tempFolder(Object.fromEntries(names.map((name) => [name, heron])));
    const { code, stdout, stderr } = await runCli(['check', ...names], {
      cwd,
      onOutput: () => rmSync(cwd, { recursive: true, force: true }),
    });
    expect([code, stderr]).toEqual([2, gone(cwd)]);
    expect(stdout).toContain('a.glb');
    expect(stdout).not.toContain('unreadable');
  });

  it.each([
    { args: ['check', 'heron.glb'] },
    { args: ['check', 'cast'] },
    { args: ['draw', 'heron.glb'] },
    { args: ['mend', 'heron.glb', '--dry-run'] },
    { args: ['mend', 'cast', '--out-dir', 'out'] },
  ])('is told by $args where it went before an asset was read', async ({ args }) => {
    const cwd = join(tempFolder(), 'gone');
    const { code, stderr } = await runCli(args, { cwd });
    expect([code, stderr]).toEqual([2, gone(cwd)]);
  });

  it('is not blamed where only an asset is gone', async () => {
    const { code, stdout } = await runCli(['check', 'heron.glb'], { cwd: tempFolder() });
    expect([code, stdout]).toEqual([3, expect.stringContaining('there is no such file')]);
  });
});
