import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import type { MendRecord } from '../../src/cli/mend/mend-record.js';
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

/** Birds by their own standard, the rest by none. */
const herd = (): string =>
  tempFolder({
    'approved.glb': buildGlb('heron'),
    'herd/birds/heron.glb': turned,
    'herd/birds/trysquare.json': '{ "approved": { "her*.glb": "../../approved.glb" } }',
    'herd/mule.glb': buildGlb('mule'),
    'herd/twin.glb': turned,
  });

/** What a report says of each asset's approved one. */
function approvedIn(cwd: string, report: string): readonly Pick<MendRecord, 'path' | 'approved'>[] {
  // The schema of the report holds it to that, as another test sees to.
  return JSON.parse(readFileSync(join(cwd, report), 'utf8')).assets as MendRecord[];
}

describe('mend --like of many files', () => {
  it('makes each like the approved one, as a mend of the one file does', async () => {
    const cwd = herd();
    const many = ['mend', 'herd', '--like', 'approved.glb', '--only', 'fit', '--out-dir', 'out'];
    const { stdout } = await runCli([...many, '--report', 'out/mend.json'], { cwd });
    expect(stdout).toMatch(
      /^herd\/birds\/heron\.glb: .*\n {2}mended fit\.frame at .*: frame 180° off -> as in the approved rig\n {2}mended fit\.missing at .*\n[\s\S]*?^ {2}Played: 1 clip of approved\.glb; bones are off by up to [\d.]+° before, /m,
    );
    const one = ['mend', 'herd/twin.glb', '--like', 'approved.glb', '--only', 'fit'];
    await runCli([...one, '-o', 'one.glb'], { cwd });
    const [alone, birds, twin] = ['one.glb', 'out/birds/heron.glb', 'out/twin.glb'].map((name) =>
      readFileSync(join(cwd, name)).toString('base64'),
    );
    expect([birds, twin]).toEqual([alone, alone]);
    expect(approvedIn(cwd, 'out/mend.json')).toMatchObject([
      {
        path: 'herd/birds/heron.glb',
        approved: {
          path: 'approved.glb',
          rigs: [{ rig: 'body', with: 'body', by: 'only' }],
          played: [
            {
              clips: 1,
              before: { degrees: expect.closeTo(26.4, 1) },
              after: { degrees: expect.closeTo(2.63, 2) },
            },
          ],
        },
      },
      { path: 'herd/mule.glb', approved: { path: 'approved.glb' } },
      { path: 'herd/twin.glb', approved: { path: 'approved.glb' } },
    ]);
  });

  it('judges each by what the standard of its folder names, and makes it like that only when asked', async () => {
    const cwd = herd();
    const plan = ['mend', 'herd', '--dry-run', '--skip', 'axis.up', '--report', 'mend.json'];
    const { stdout, stderr } = await runCli(plan, { cwd });
    expect(stderr).toBe('');
    expect(stdout).toMatch(/left fit\.missing at .* add --like with the approved file, or --also/);
    expect(stdout).not.toContain('Played: ');
    expect(approvedIn(cwd, 'mend.json')).toMatchObject([
      { path: 'herd/birds/heron.glb', approved: { path: 'approved.glb', played: null } },
      { path: 'herd/mule.glb', approved: null },
      { path: 'herd/twin.glb', approved: null },
    ]);
    const asked = await runCli([...plan, '--replace', '--also', 'fit.missing'], { cwd });
    expect(asked.stdout.match(/mended fit\.missing/g)).toHaveLength(1);
    expect(asked.stderr).toBe(
      'trysquare: fit.missing: no approved rig is named for herd/mule.glb and 1 more file, so nothing there is made like one; name it with --like, or under "approved" in a standard\n',
    );
  });

  it('mends the approved rig as any other in a folder, and not in place, where others are held to it', async () => {
    const cwd = tempFolder({ 'herd/approved.glb': buildGlb('heron'), 'herd/heron.glb': turned });
    const like = ['mend', 'herd', '--like', 'herd/approved.glb', '--only', 'fit'];
    await runCli([...like, '--out-dir', 'out', '--sound', 'copy'], { cwd });
    expect(readdirSync(join(cwd, 'out')).sort()).toEqual([
      'approved.glb',
      'heron.glb',
      'heron.names.json',
    ]);
    const { stdout, stderr } = await runCli([...like, '--in-place'], { cwd });
    expect(stderr).toBe(
      'trysquare: herd/approved.glb: the other files are held to the approved rig there, so it is not mended in the same run; mend it first, by itself\n',
    );
    expect(stdout).toContain('1 asset: 1 mended and written');
    expect(existsSync(join(cwd, 'herd/approved.glb.before-mend'))).toBe(false);
  });

  it.each([
    [['herd', '--like', 'gone.glb'], /^trysquare: --like: the approved asset gone\.glb cannot be /],
    [
      ['herd', '--also', 'fit', '--no-standard'],
      /^trysquare: fit\.frame needs an approved rig; name its file with --like, or /,
    ],
    [
      ['herd/mule.glb', '--like', 'herd/mule.glb'],
      /^trysquare: --like names herd\/mule\.glb, which is the file to be mended; name /,
    ],
  ])('%s ends with one clear line, and nothing is written', async (flags, message) => {
    const cwd = herd();
    const { code, stdout, stderr } = await runCli(['mend', ...flags, '--out-dir', 'out'], { cwd });
    expect([code, stdout, existsSync(join(cwd, 'out'))]).toEqual([2, '', false]);
    expect(stderr.trimEnd()).toMatch(message);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
  });

  it('is never written over the approved rig', async () => {
    const cwd = tempFolder({ 'approved.glb': buildGlb('heron'), 'herd/approved.glb': turned });
    const args = ['mend', 'herd/approved.glb', '--like', 'approved.glb', '--replace'];
    const alone = await runCli([...args, '-o', 'approved.glb'], { cwd });
    expect([alone.code, alone.stderr]).toEqual([
      2,
      'trysquare: --out names approved.glb, which is the approved rig; name another file\n',
    ]);
    const many = await runCli([...args, '--out-dir', '.'], { cwd });
    expect([many.code, many.stdout]).toEqual([
      2,
      expect.stringContaining(
        'the result would overwrite the input; name another folder with --out-dir',
      ),
    ]);
    expect(readFileSync(join(cwd, 'approved.glb')).equals(Buffer.from(buildGlb('heron')))).toBe(
      true,
    );
  });
});
