import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { swing } from '../../../fixtures/kit/clips.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import type { Report } from '../../../src/report/report-types.js';
import { changed } from '../../support/beside-approved.js';
import { runCli } from '../../support/run-cli.js';
import { tempFolder } from '../../support/temp-folder.js';
import { chainJoints, tinyGlb } from '../../support/tiny-rig.js';
import { clipsAlone, renamed } from './candidates.js';

const heron = buildGlb('heron');

/** A heron with one clip, of these channels. */
const withClip = (...channels: Parameters<Puppet['clips']['push']>[0]['channels']) =>
  changed('heron', ({ clips }) => {
    clips.splice(0, clips.length, { name: 'wade', channels });
  });

/** What `compare` says of a file beside another: its exit code, its rules, and what each did not apply to. */
async function beside(approved: Uint8Array, candidate: Uint8Array) {
  const cwd = tempFolder({ 'approved.glb': approved, 'candidate.glb': candidate });
  const args = ['compare', 'approved.glb', 'candidate.glb', '--format', 'json'];
  const { code, stdout, stderr } = await runCli(args, { cwd });
  const [asset] = (JSON.parse(stdout) as Report).assets;
  const play = asset?.rigs[0]?.measured.find(({ rule }) => rule === 'fit.play');
  return {
    said: [code, stderr, ...(asset?.findings.map(({ rule }) => rule) ?? [])],
    played: play?.kind === 'not applicable' ? play.because : play?.short,
    messages: asset?.findings.map(({ message }) => message) ?? [],
  };
}

const noClip = 'no clip of the approved asset poses a joint that this rig has';

describe('odd rigs and clips are compared', () => {
  it.each([
    ['a clip that poses nothing', withClip(), noClip],
    ['a clip of cubic curves', withClip(swing('neck_low', [1, 0, 0], [0, 8, 0], 'CUBICSPLINE')), 0],
    ['a clip of one key', withClip(swing('neck_low', [1, 0, 0], [8])), 0],
    [
      'a clip that is hours long',
      withClip(swing('neck_low', [1, 0, 0], [0, 8, 0], 'LINEAR', 1e4)),
      0,
    ],
  ])('%s, on either side', async (_, odd, played) => {
    expect(await beside(odd, heron)).toMatchObject({ said: [0, ''], played });
    // The clips of a candidate are its own.
    expect(await beside(heron, odd)).toMatchObject({ said: [0, ''], played: 0 });
  });

  it('no joint in common, which is one error', async () => {
    const { said, played, messages } = await beside(
      heron,
      await renamed(heron, (name) => `x${name}`),
    );
    expect(said).toEqual([1, '', 'fit.missing']);
    expect(played).toBe('no joint answers to one of the approved rig');
    expect(messages[0]).toMatch(
      /^No joint of the approved rig is in this rig, by name or by place\.$/,
    );
  });

  it('a joint of one name twice, told by the place where it stands', async () => {
    const twice = await renamed(heron, { shin_L: 'shin_R' });
    const { said, messages } = await beside(heron, twice);
    expect(said).toEqual([1, '', 'fit.missing']);
    expect(messages[0]).toContain('"shin_R" in that of "shin_L"');
    expect((await beside(twice, heron)).said).toEqual([1, '', 'fit.missing']);
  });

  it('holders and scales on one side alone, where what they do is seen', async () => {
    const stage = (scale: [number, number, number]) =>
      changed('heron', ({ edits }) => {
        edits.push(({ nodes }) => {
          const holder = nodes.find(({ name }) => name === 'stage');
          if (holder === undefined) throw new Error('a heron stands on a stage');
          holder.scale = scale;
        });
      });
    for (const whole of [
      await beside(stage([1.2, 1.2, 1.2]), heron),
      await beside(heron, stage([1.2, 1.2, 1.2])),
    ])
      expect(whole.said).toEqual([0, '']);
    for (const flat of [
      [0, 0, 0],
      [2, 3, 0.5],
    ] as [number, number, number][]) {
      expect((await beside(heron, stage(flat))).said.slice(0, 2)).toEqual([1, '']);
      expect((await beside(stage(flat), heron)).said.slice(0, 2)).toEqual([1, '']);
    }
  });

  it('joints without a mesh, as candidate', async () => {
    const joints = changed('heron', ({ parts }) => {
      parts.length = 0;
    });
    expect((await beside(heron, joints)).said).toEqual([0, '']);
  });

  it('control characters in names, which no report passes on', async () => {
    const odd = await renamed(heron, { shin_L: 'shin\u001b[31m\u0000\u202e\nL' });
    const cwd = tempFolder({ 'approved.glb': heron, 'odd.glb': odd });
    const { stdout, stderr } = await runCli(['compare', 'approved.glb', 'odd.glb'], { cwd });
    expect(stdout).toContain('shin\\u001b[31m\\u0000\\u202e\\u000aL');
    expect(stdout + stderr).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u202e]/);
  });

  it('three hundred candidates, each for itself', async () => {
    const tiny = tinyGlb(
      chainJoints([
        [0, 0, 0],
        [0, 1, 0],
      ]),
      null,
    );
    const names = Array.from({ length: 300 }, (_, at) => `puppets/${at}.glb`);
    const files = Object.fromEntries(names.map((name) => [name, tiny]));
    const cwd = tempFolder({ ...files, 'approved.glb': tiny, 'puppets/7.glb': 'no puppet' });
    const args = ['compare', 'approved.glb', 'puppets', '--format', 'json'];
    const { code, stdout } = await runCli(args, { cwd });
    const { totals } = JSON.parse(stdout) as Report;
    expect([code, totals.verdicts]).toEqual([
      3,
      { sound: 299, unsound: 0, unreadable: 1, 'nothing to judge': 0 },
    ]);
  });
});

describe('paths', () => {
  it('may be absolute, lead upwards and hold any letters', async () => {
    const cwd = tempFolder({
      'approved [heron]/a b#%é.glb': heron,
      'puppets/[odd] b#%é.glb': heron,
      'deep/er/readme.txt': '',
    });
    const inside = join(cwd, 'deep/er');
    for (const path of [
      '../../puppets/[odd] b#%é.glb',
      '../../puppets/*.glb',
      '../../puppets',
      join(cwd, 'puppets/[odd] b#%é.glb'),
    ]) {
      const args = ['compare', '../../approved [heron]/a b#%é.glb', path, '-f', 'json'];
      const { code, stdout, stderr } = await runCli(args, { cwd: inside });
      expect([code, stderr]).toEqual([0, '']);
      const { assets } = JSON.parse(stdout) as Report;
      expect(assets.map(({ verdict, approved }) => [verdict, approved])).toEqual([
        ['sound', '../../approved [heron]/a b#%é.glb'],
      ]);
    }
  });

  it('the approved asset can be its own candidate and its own library, and is compared once', async () => {
    const cwd = tempFolder({ 'heron.glb': heron });
    const args = [
      'compare',
      'heron.glb',
      'heron.glb',
      './heron.glb',
      '--clips',
      'heron.glb',
      '--clips',
      '.',
    ];
    const { code, stdout, stderr } = await runCli([...args, '-f', 'json'], { cwd });
    expect([code, stderr]).toEqual([0, '']);
    expect((JSON.parse(stdout) as Report).assets).toHaveLength(1);
  });

  it.each([
    [
      'approved on standard input',
      ['-', 'heron.glb'],
      'the approved asset is not read from standard input; name a file',
    ],
    [
      'a folder as approved',
      ['clips', 'heron.glb'],
      'the approved asset clips is a folder; name a file in it',
    ],
    [
      'a pattern as approved',
      ['her*.glb', 'heron.glb'],
      'the approved asset her*.glb is a pattern; name one file',
    ],
    [
      'joints without a skin as approved',
      ['clips/walk.glb', 'heron.glb'],
      'the approved asset clips/walk.glb has no rig: nothing in it has a skin',
    ],
    [
      'a folder without clips',
      ['heron.glb', 'heron.glb', '--clips', 'none'],
      '--clips none: the folder has no .glb, .gltf or .vrm file',
    ],
    [
      'a pattern of clips that fits nothing',
      ['heron.glb', 'heron.glb', '--clips', 'z*'],
      '--clips z*: no file matches this pattern',
    ],
    [
      'clips that are gone',
      ['heron.glb', 'heron.glb', '--clips', 'gone.glb'],
      'the file of clips gone.glb cannot be read: there is no such file',
    ],
    [
      'clips that are damaged',
      ['heron.glb', 'heron.glb', '--clips', 'cut.glb'],
      'the file of clips cut.glb cannot be read: the file is empty',
    ],
    [
      'nothing to compare',
      ['heron.glb'],
      'there is nothing to compare with the approved rig: name assets after it, or clips with --clips',
    ],
  ])('%s is one line, and the run ends with 2', async (_, args, words) => {
    const cwd = tempFolder({
      'heron.glb': heron,
      'clips/walk.glb': await clipsAlone(heron),
      'none/readme.txt': '',
      'cut.glb': '',
    });
    const { code, stdout, stderr } = await runCli(['compare', ...args], { cwd });
    expect([code, stdout, stderr]).toEqual([2, '', `trysquare: ${words}\n`]);
  });

  it.each([
    ['a folder without assets', 'none', 'the folder has no .glb, .gltf or .vrm file'],
    ['a pattern that fits nothing', 'z*.glb', 'no file matches this pattern'],
    ['a file that is gone', 'gone.glb', 'there is no such file'],
  ])('%s among the candidates is one line, and the others are compared', async (_, path, words) => {
    const cwd = tempFolder({ 'heron.glb': heron, 'none/readme.txt': '' });
    const args = ['compare', 'heron.glb', path, 'heron.glb', '-f', 'csv'];
    const { code, stdout, stderr } = await runCli(args, { cwd });
    expect(code).toBe(3);
    expect(stderr).toBe(`trysquare: ${path} cannot be read: ${words}\n`);
    expect(stdout).toContain('"heron.glb","sound"');
  });

  it('a library may hold rigs: their clips are taken', async () => {
    const rig = withClip(swing('neck_low', [1, 0, 0], [0, 30, 0]));
    const hanging = changed('heron', (puppet) => puppet.pose('neck_high', 'side', 12));
    const cwd = tempFolder({ 'approved.glb': withClip(), 'rig.glb': rig, 'heron.glb': hanging });
    const args = ['compare', 'approved.glb', 'heron.glb', '-f', 'json'];
    const without = await runCli(args, { cwd });
    expect(without.code).toBe(0);
    const { code, stdout, stderr } = await runCli([...args, '--clips', 'rig.glb'], { cwd });
    expect([code, stderr]).toEqual([1, '']);
    expect(stdout).toContain('of rig.glb shows');
  });
});
