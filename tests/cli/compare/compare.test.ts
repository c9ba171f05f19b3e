import { existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { globSync } from 'tinyglobby';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import type { Report } from '../../../src/report/report-types.js';
import { runCli } from '../../support/run-cli.js';
import { tempFolder } from '../../support/temp-folder.js';
import { clipsAlone, renamed, together } from './candidates.js';

const heron = buildGlb('heron');
const calf = await renamed(heron, { shin_L: 'calf_L' });

/** The approved heron, and deliveries of it. */
function theatre(more: Readonly<Record<string, string | Uint8Array>> = {}): string {
  return tempFolder({
    'approved/heron.glb': heron,
    'puppets/heron.glb': heron,
    'puppets/heron-renamed.glb': calf,
    ...more,
  });
}

const compare = (cwd: string, ...args: string[]) =>
  runCli(['compare', 'approved/heron.glb', ...args], { cwd });

async function reportOf(cwd: string, ...args: string[]): Promise<Report> {
  const { stdout } = await compare(cwd, ...args, '--format', 'json');
  // What the command writes as JSON has the type that its schema describes.
  return JSON.parse(stdout) as Report;
}

const told = ({ assets }: Report) =>
  assets.map(({ path, findings }) => [path, ...findings.map(({ rule }) => rule)]);

describe('compare', () => {
  it('passes the approved rig itself, and fails one whose shin has another name', async () => {
    const cwd = theatre();
    const same = await compare(cwd, 'puppets/heron.glb');
    expect([same.code, same.stderr]).toEqual([0, '']);
    expect(same.stdout).toContain('Compared with approved/heron.glb.');
    const other = await compare(cwd, 'puppets/heron-renamed.glb');
    expect(other.code).toBe(1);
    expect(other.stdout).toContain('fit.missing');
    expect(other.stdout).toContain('shin_L');
  });

  it('says how many clips were played, and of a rig at fault what it was compared with under -q', async () => {
    const cwd = theatre({ 'clips/walk.glb': await clipsAlone(heron) });
    const { stdout } = await compare(cwd, 'puppets/heron.glb', '--clips', 'clips');
    expect(stdout).toContain('Compared with approved/heron.glb. 2 clips were played.');
    const report = await reportOf(cwd, 'puppets/heron.glb');
    expect(report.assets[0]?.rigs[0]?.approved).toMatchObject({ played: 1 });
    const quiet = await compare(cwd, 'puppets', '-q');
    expect(quiet.stdout).toContain('Compared with approved/heron.glb.');
    const unasked = await compare(cwd, 'puppets/heron.glb', '--only', 'fit.unit');
    expect(unasked.stdout).not.toContain('played');
    const help = await runCli(['compare', '--help'], { cwd });
    expect(help.stdout.replace(/\s+/g, ' ')).toContain('those with onApproved: true');
  });

  it('runs the rules about fitting alone, and says what it compared with', async () => {
    const report = await reportOf(theatre(), 'puppets');
    expect(report.families).toEqual(['fit']);
    expect(told(report)).toEqual([
      ['puppets/heron-renamed.glb', 'fit.missing'],
      ['puppets/heron.glb'],
    ]);
    for (const { approved } of report.assets) expect(approved).toBe('approved/heron.glb');
  });

  it('asks clips of the approved rig: in a file of their own, and from a library', async () => {
    const cwd = theatre({
      'clips/walk.glb': await clipsAlone(heron),
      'clips/old/walk.glb': await clipsAlone(heron, { shin_L: 'calf_L' }),
    });
    const alone = await reportOf(cwd, 'clips');
    expect(told(alone)).toEqual([['clips/old/walk.glb', 'fit.clip'], ['clips/walk.glb']]);
    expect((await compare(cwd, '--clips', 'clips/walk.glb')).code).toBe(0);
    expect(told(await reportOf(cwd, '--clips', 'clips'))).toEqual(told(alone));
    // The clips of a library are asked of each delivery.
    const library = await reportOf(cwd, 'puppets/heron.glb', '--clips', 'clips/walk.glb');
    expect(told(library)).toEqual([['puppets/heron.glb']]);
  });

  it('asks the clips alone of a file with a rig, where no candidate is named', async () => {
    const cwd = theatre({
      'clips/wade.glb': calf,
      'clips/still.gltf': '{"asset":{"version":"2.0"}}',
    });
    const { assets } = await reportOf(cwd, '--clips', 'clips');
    const [still, wade] = assets;
    expect([wade?.rigs, wade?.findings.map(({ rule }) => rule)]).toEqual([[], ['fit.clip']]);
    expect(wade?.asked).toEqual({ clips: 1, channels: 5 });
    expect(still?.findings[0]?.message).toBe(
      'This file has no clip, so nothing in it poses the approved asset approved/heron.glb.',
    );
    const kept = ['--cache', 'kept'];
    await compare(cwd, 'clips/wade.glb', ...kept);
    const { stdout } = await compare(cwd, '--clips', 'approved/heron.glb', ...kept);
    expect(stdout).toContain('Compared with approved/heron.glb: 1 clip, 5 channels.');
    expect(stdout).not.toContain('Rig "');
    writeFileSync(join(cwd, 'page.js'), 'show();');
    const args = ['compare', 'approved/heron.glb', '--clips', 'approved/heron.glb'];
    await runCli([...args, '--out', 'p.html'], { cwd, pageScript: join(cwd, 'page.js') });
    const page = readFileSync(join(cwd, 'p.html'), 'utf8');
    expect(page).toContain(
      'Only the clips of this file were compared with approved/heron.glb: 1 clip, 5 channels.',
    );
    expect(page).toContain('<p>No fault was found.</p>');
  });

  it('says once which clips of a library find nothing in the approved rig', async () => {
    const cwd = theatre({
      'clips/walk.glb': await clipsAlone(heron),
      'clips/old.glb': await clipsAlone(heron, (name) => `old ${name}`),
    });
    const { code, stderr, stdout } = await compare(
      cwd,
      'puppets/heron.glb',
      'approved',
      '--clips',
      'clips',
    );
    expect([code, stdout.includes('old.glb')]).toEqual([0, false]);
    expect(stderr).toBe(
      'trysquare: --clips clips/old.glb: its clip "wade" finds no node of the approved rig, so no rig is compared by it; give its nodes the names that the approved rig has, or leave it out\n',
    );
    // One channel that is found is no sign of a clip for this rig.
    const most = (name: string) => (name === 'body' ? name : `old ${name}`);
    writeFileSync(join(cwd, 'clips/old.glb'), await clipsAlone(heron, most));
    const few = (await compare(cwd, 'puppets/heron.glb', '--clips', 'clips')).stderr;
    expect(few).toMatch(
      /^trysquare: --clips clips\/old\.glb: 4 of 5 channels find no node of .+\n$/,
    );
    // One name that is wrong: asked alone, the file would be told.
    writeFileSync(join(cwd, 'clips/old.glb'), await clipsAlone(heron, { shin_L: 'calf_L' }));
    expect((await compare(cwd, 'puppets/heron.glb', '--clips', 'clips')).stderr).toBe(
      'trysquare: --clips clips/old.glb: 1 of 5 channels poses what the approved rig does not have ("calf_L"), so no rig is compared by it; correct this name\n',
    );
  });

  it('says of several rigs in one file which was compared with which, and why', async () => {
    const cwd = theatre({
      'approved/both.glb': await together(heron, buildGlb('mule')),
      'puppets/both.glb': await together(buildGlb('mule'), calf),
    });
    const args = ['compare', 'approved/both.glb', 'puppets/both.glb'];
    const { stdout } = await runCli([...args, '--format', 'json'], { cwd });
    const [asset] = (JSON.parse(stdout) as Report).assets;
    const pairs = asset?.rigs.map(({ approved, joints }) => [approved, joints.length]);
    const herons = Number(
      (await reportOf(cwd, 'puppets/heron.glb')).assets[0]?.rigs[0]?.joints.length,
    );
    expect(pairs).toEqual(
      expect.arrayContaining([
        [{ name: expect.any(String), by: 'joints', shared: herons - 1, played: 1 }, herons],
      ]),
    );
    expect(pairs).toHaveLength(2);
    const page = join(cwd, 'page.html');
    const { stdout: text } = await runCli(args, { cwd });
    writeFileSync(join(cwd, 'page.js'), 'show();');
    await runCli([...args, '--out', 'page.html'], { cwd, pageScript: join(cwd, 'page.js') });
    for (const words of [text.replace(/\s+/g, ' '), readFileSync(page, 'utf8')])
      expect(
        words.match(/Compared with the approved rig .{1,80}joints have the same names/g),
      ).toHaveLength(2);
    // One of several is taken, and the other is missing.
    const one = await runCli(['compare', 'approved/both.glb', 'puppets/heron.glb'], { cwd });
    expect(one.stdout.replace(/\s+/g, ' ')).toContain(`${herons} joints have the same names`);
    expect(one.code).toBe(1);
    // A rig that stands alone on both sides needs no word.
    expect((await compare(cwd, 'puppets/heron.glb')).stdout).not.toContain('same names');
  });

  it('fails a file with neither a rig nor a clip', async () => {
    const cwd = theatre({ 'lamp.gltf': '{"asset":{"version":"2.0"},"nodes":[{"name":"lamp"}]}' });
    const { code, stdout } = await compare(cwd, 'lamp.gltf');
    expect(code).toBe(1);
    expect(stdout.replace(/\s+/g, ' ')).toContain('This file has no rig and no clip: none of the');
  });

  it('gives the same by a cache, which a change of the approved rig empties', async () => {
    const cwd = theatre();
    const args = ['puppets', '--cache', 'kept'] as const;
    const first = await compare(cwd, ...args);
    expect(await compare(cwd, ...args)).toEqual(first);
    const entries = readdirSync(join(cwd, 'kept')).length;
    expect(entries).toBeGreaterThan(0);
    const { stdout } = await runCli(
      ['compare', 'puppets/heron-renamed.glb', ...args, '--format', 'json'],
      { cwd },
    );
    expect(told(JSON.parse(stdout) as Report)).toEqual([
      ['puppets/heron-renamed.glb'],
      ['puppets/heron.glb', 'fit.missing'],
    ]);
  });

  it('goes in parts, which are not joined where they were compared with other rigs', async () => {
    const cwd = theatre();
    for (const part of ['1', '2'])
      await compare(cwd, 'puppets', '--part', `${part}/2`, '--out', `${part}.json`);
    const joined = await runCli(['merge', '1.json', '2.json', '--format', 'json'], { cwd });
    expect(told(JSON.parse(joined.stdout) as Report)).toEqual(told(await reportOf(cwd, 'puppets')));
    await runCli(
      ['compare', 'puppets/heron-renamed.glb', 'puppets', '--part', '2/2', '--out', 'other.json'],
      { cwd },
    );
    const mixed = await runCli(['merge', '1.json', 'other.json'], { cwd });
    expect(mixed.code).toBe(2);
  });

  it('takes a ledger: what is waived stays waived', async () => {
    const cwd = theatre();
    await compare(cwd, 'puppets', '--out', 'now.json');
    const waiver = [
      '--all',
      '--why',
      'the clips are remade',
      '--by',
      'rigging',
      '--until',
      'never',
    ];
    expect((await runCli(['waive', 'now.json', ...waiver], { cwd })).code).toBe(0);
    expect((await compare(cwd, 'puppets')).code).toBe(0);
  });

  it.each([
    [[], 'there is nothing to compare with the approved rig'],
    [['-'], 'standard input cannot be compared'],
    [['puppets', '--clips', 'gone'], 'the file of clips gone cannot be read'],
    [['puppets', '--clips', 'approved/no-clip.gltf'], 'the file has no clip'],
    [['puppets', '--only', 'axis'], 'of which --only leaves no rule to run; name others with it'],
    [['puppets', '--skip', 'fit'], 'of which --skip leaves no rule to run; skip fewer'],
    [
      ['puppets', '--out', 'approved/heron.glb', '--format', 'json', '--replace'],
      'approved/heron.glb',
    ],
  ])('%j is refused in one line', async (args, words) => {
    const cwd = theatre({ 'approved/no-clip.gltf': '{"asset":{"version":"2.0"}}' });
    const { code, stdout, stderr } = await compare(cwd, ...args);
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr).toContain(words);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
  });

  it.each([
    ['approved/gone.glb', undefined, 'the approved asset approved/gone.glb cannot be read'],
    [
      'approved/cut.glb',
      heron.slice(0, 2000),
      'the approved asset approved/cut.glb cannot be read',
    ],
    ['approved/lamp.gltf', '{"asset":{"version":"2.0"}}', 'has no rig'],
  ])('refuses %s as approved rig', async (path, bytes, words) => {
    const cwd = theatre(bytes === undefined ? {} : { [path]: bytes });
    const { code, stderr } = await runCli(['compare', path, 'puppets'], { cwd });
    expect(code).toBe(2);
    expect(stderr).toContain(words);
  });

  it('a candidate that cannot be read is one line, and the others are compared', async () => {
    const cwd = theatre({ 'puppets/cut.glb': heron.slice(0, 2000) });
    const { code, stdout } = await compare(cwd, 'puppets', '--format', 'json');
    expect(code).toBe(3);
    const { assets } = JSON.parse(stdout) as Report;
    expect(assets.map(({ verdict }) => verdict)).toEqual(['unreadable', 'unsound', 'sound']);
  });

  it.each(['sarif', 'junit', 'csv', 'markdown'])('writes %s', async (format) => {
    const cwd = theatre();
    const { code } = await compare(cwd, 'puppets', '--format', format, '--out', 'report');
    expect(code).toBe(1);
    expect(existsSync(join(cwd, 'report'))).toBe(true);
    expect(readFileSync(join(cwd, 'report'), 'utf8')).toContain('fit.missing');
  });
});

describe('a standard with approved rigs', () => {
  const standard = (approved: Readonly<Record<string, string>>) => JSON.stringify({ approved });
  const check = (cwd: string, ...args: string[]) =>
    runCli(['check', 'puppets', '--format', 'json', ...args], { cwd });

  it('has a check compare, the assets that it names alone', async () => {
    const cwd = theatre({
      'puppets/mule.glb': buildGlb('mule'),
      'trysquare.json': standard({ 'puppets/heron*.glb': 'approved/heron.glb' }),
    });
    const { code, stdout } = await check(cwd);
    expect(code).toBe(1);
    const report = JSON.parse(stdout) as Report;
    expect(report.families).toContain('fit');
    expect(report.assets.map(({ path, approved }) => [path, approved])).toEqual([
      ['puppets/heron-renamed.glb', 'approved/heron.glb'],
      ['puppets/heron.glb', 'approved/heron.glb'],
      ['puppets/mule.glb', undefined],
    ]);
    expect(told(report)).toEqual([
      ['puppets/heron-renamed.glb', 'fit.missing'],
      ['puppets/heron.glb'],
      ['puppets/mule.glb'],
    ]);
    const { stdout: without } = await check(cwd, '--no-standard');
    expect((JSON.parse(without) as Report).families).not.toContain('fit');
  });

  it.each([
    ['approved/gone.glb', 'the standard trysquare.json: the approved asset approved/gone.glb'],
    ['puppets/heron.glb/x', 'the standard trysquare.json: the approved asset puppets/heron.glb/x'],
  ])('is wrong where %s cannot be read', async (path, words) => {
    const cwd = theatre({ 'trysquare.json': standard({ 'puppets/*.glb': path }) });
    const { code, stdout, stderr } = await check(cwd);
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr).toContain(words);
  });

  it('checks anew by a cache only what a changed approved rig is about', async () => {
    const cwd = theatre({
      'approved/mule.glb': buildGlb('mule'),
      'puppets/mule.glb': buildGlb('mule'),
      'puppets/beetle.glb': buildGlb('stag-beetle'),
      'trysquare.json': standard({
        'puppets/heron.glb': 'approved/heron.glb',
        'puppets/mule.glb': 'approved/mule.glb',
      }),
    });
    rmSync(join(cwd, 'puppets/heron-renamed.glb'));
    const kept = () => globSync('kept/*/*.json', { cwd }).length;
    await check(cwd, '--cache', 'kept');
    expect(kept()).toBe(3);
    writeFileSync(join(cwd, 'approved/heron.glb'), calf);
    const { stdout } = await check(cwd, '--cache', 'kept');
    expect(told(JSON.parse(stdout) as Report)).toEqual([
      ['puppets/beetle.glb'],
      ['puppets/heron.glb', 'fit.missing'],
      ['puppets/mule.glb'],
    ]);
    expect(kept()).toBe(4);
  });

  it('a check of rules about fitting needs one', async () => {
    const { code, stderr } = await check(theatre(), '--only', 'fit');
    expect(code).toBe(2);
    expect(stderr).toContain('needs an approved rig');
  });
});
