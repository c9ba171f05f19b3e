import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { changed } from '../support/beside-approved.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const turned = changed('heron', (puppet) => {
  puppet.turnFrame('shin_L', 'aim', 180);
  puppet.joint('foot_L').label = 'lantern';
  puppet.moveJoint('tail_tip', [0, 0, -0.02]);
});

const folder = (): string =>
  tempFolder({
    'approved.glb': buildGlb('heron'),
    'heron.glb': turned,
    'text.glb': 'no rig',
    'trysquare.json': '{ "approved": { "her*.glb": "approved.glb" } }',
  });

describe('mend --like', () => {
  it('makes a rig like the approved one, and tells what its clips show before and after', async () => {
    const cwd = folder();
    const args = ['mend', 'heron.glb', '--like', 'approved.glb', '-o', 'like.glb'];
    const { code, stdout, stderr } = await runCli(args, { cwd });
    const lines = stdout.trimEnd().split('\n');
    expect(code).toBe(0);
    expect(stderr).toContain('the mended file is like.glb');
    expect(lines).toContain(
      '  mend fit.frame at body/thigh_L/shin_L: frame 180° off -> as in the approved rig',
    );
    expect(lines).toContain(
      '  mend fit.missing at body/thigh_L/shin_L/lantern: "lantern" -> "foot_L", as in the approved rig',
    );
    expect(stdout).toMatch(
      /^ {2}left fit\.length at body\/tail_root\/tail_mid\/tail_tip: The bone/m,
    );
    expect(lines.find((line) => line.startsWith('Played: '))).toMatch(
      /^Played: 1 clip of approved\.glb; bones are off by up to [\d.]+° before, \S+° after; joints and skin by up to [\d.]+ % of size before, .+ % after\.$/,
    );
    const compared = await runCli(
      ['compare', 'approved.glb', 'like.glb', '--only', 'fit.frame,fit.missing'],
      { cwd },
    );
    expect(compared.code).toBe(0);
  });

  it('is judged by the approved rig that a standard names, and only mended like it when asked', async () => {
    const cwd = folder();
    const args = ['mend', 'heron.glb', '--dry-run', '--skip', 'axis.up'];
    const { stdout } = await runCli(args, { cwd });
    expect(stdout).toMatch(/left fit\.missing at .* add --like with the approved file, or --also/);
    expect(stdout).not.toContain('Played: ');
    const asked = await runCli([...args, '--also', 'fit.missing'], { cwd });
    expect(asked.stdout).toContain('mend fit.missing');
    expect(asked.stdout).toContain('Played: ');
  });

  it.each([
    [['--like', 'gone.glb'], /^trysquare: --like: the approved asset gone\.glb cannot be read: /],
    [['--like', 'text.glb'], /^trysquare: --like: the approved asset text\.glb cannot be read: /],
    [['--like', '-'], /^trysquare: the approved asset is not read from standard input/],
    [['--like', '.'], /^trysquare: the approved asset \. is a folder; name a file in it/],
    [
      ['--like', 'approved.glb', '--aim', '+X', '--up', '+Y'],
      /^trysquare: --like and --aim both say how frames are to be turned; leave out one of them/,
    ],
    [
      ['--also', 'fit.frame', '--no-standard'],
      /^trysquare: fit\.frame needs an approved rig; name its file with --like, or under "approved" in a standard/,
    ],
    [['--only', 'fit', '--no-standard'], /^trysquare: fit\.frame needs an approved rig; /],
  ])('%s ends with one clear line, and nothing is written', async (flags, message) => {
    const cwd = folder();
    const args = ['mend', 'heron.glb', '-o', 'out.glb', ...flags];
    const { code, stdout, stderr } = await runCli(args, { cwd });
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr.trimEnd()).toMatch(message);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(existsSync(join(cwd, 'out.glb'))).toBe(false);
  });
});
