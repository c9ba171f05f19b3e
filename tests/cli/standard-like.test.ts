import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { processIo } from '../../src/cli/io.js';
import { initLike } from '../../src/cli/standard/init-like.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const heron = buildGlb('heron');
const mule = buildGlb('mule', { convention: { aim: '+X', up: '+Y', mirror: 'negate-all' } });
const crooked = buildGlb('heron', { faults: [faultNamed('crooked-neck')] });
const statue = buildGlb('heron', { faults: [faultNamed('statue')] });

const init = (cwd: string, ...args: string[]) => runCli(['standard', 'init', ...args], { cwd });

describe('standard init --like', () => {
  it('writes a standard under which a check of the same rigs is sound', async () => {
    const cwd = tempFolder({ 'approved/heron.glb': crooked, 'approved/deep/mule.glb': mule });
    expect((await runCli(['check', '.', '-q'], { cwd })).code).toBe(1);
    const { code, stdout, stderr } = await init(cwd, '--like', 'approved');
    expect([code, stdout]).toEqual([0, '']);
    expect(stderr.split('\n')).toEqual([
      'trysquare: the rigs differ in the aim axis: +X in approved/deep/mule.glb; +Y in approved/heron.glb',
      'trysquare: the rigs differ in the up axis: +Y in approved/deep/mule.glb; +Z in approved/heron.glb',
      'trysquare: the rigs differ in how right frames mirror left ones: all reversed in approved/deep/mule.glb; side reversed in approved/heron.glb',
      'trysquare: wrote trysquare.json, read off 2 rigs; all are sound under it, with other limits for axis.aim; its comments tell why, so read them before you use it',
      '',
    ]);
    const check = await runCli(['check', '.', '-q'], { cwd });
    expect([check.code, check.stderr]).toEqual([0, '']);
  });

  it('takes files, patterns and standard input, and leaves out what it is told to', async () => {
    const cwd = tempFolder({ 'old/mule.glb': mule, 'a-heron.glb': heron, 'b-heron.glb': heron });
    const args = ['--like', '**/*.glb', '--without', 'old', '--without', 'b-*'];
    expect((await init(cwd, 'b.json', ...args)).stderr).toBe(
      'trysquare: wrote b.json, read off 1 rig; it is sound under it\n',
    );
    const piped = await runCli(['standard', 'init', 'c.json', '--like', '-'], {
      cwd,
      stdin: heron,
    });
    expect([piped.code, piped.stderr]).toEqual([0, expect.stringContaining('read off 1 rig')]);
    const [b, c] = ['b.json', 'c.json'].map((name) => readFileSync(join(cwd, name), 'utf8'));
    // Where a line of comment breaks depends on the name.
    const whole = (text = ''): string => text.replace(/\n *\/\/ {2,}/g, ' ');
    expect(whole(c)).toBe(whole(b).replaceAll('a-heron.glb', '-'));
  });

  it('does not overwrite, and says so before it reads a rig', async () => {
    const cwd = tempFolder({ 'trysquare.json': '{}' });
    const { code, stderr } = await init(cwd, '--like', 'none.glb');
    expect([code, stderr]).toEqual([2, expect.stringContaining('exists already')]);
    expect(stderr).not.toContain('none.glb');
    expect(readFileSync(join(cwd, 'trysquare.json'), 'utf8')).toBe('{}');
  });

  it('leaves out what cannot be read, one line each, and gives 3', async () => {
    const cwd = tempFolder({
      'cut.glb': heron.slice(0, 500),
      'heron.glb': heron,
      'statue.glb': statue,
    });
    const { code, stderr } = await init(cwd, '--like', '.', 'gone.glb');
    expect(code).toBe(3);
    expect(stderr.trimEnd().split('\n')).toEqual([
      expect.stringMatching(/^trysquare: cut\.glb cannot be read: /),
      expect.stringMatching(/^trysquare: gone\.glb cannot be read: /),
      'trysquare: statue.glb has no rig, so it was left out',
      'trysquare: wrote trysquare.json, read off 1 rig; it is sound under it',
    ]);
  });

  it.each([
    ['statue.glb', 2],
    ['cut.glb', 3],
    ['empty', 3],
  ])('writes nothing where %s is all there is', async (path, expected) => {
    const cwd = tempFolder({
      'cut.glb': heron.slice(0, 500),
      'statue.glb': statue,
      'empty/a.txt': '',
    });
    const { code, stderr } = await init(cwd, '--like', path);
    expect(code).toBe(expected);
    expect(stderr).toContain('nothing was written: none of these files has a rig');
    expect(existsSync(join(cwd, 'trysquare.json'))).toBe(false);
  });

  it('says where the standard is named when it is taken for a rig', async () => {
    const { code, stderr } = await init(
      tempFolder({ 'heron.glb': heron }),
      '--like',
      'heron.glb',
      'house.json',
    );
    expect(code).toBe(2);
    expect(stderr).toContain('trysquare standard init house.json --like RIG');
    const there = tempFolder({ 'heron.glb': heron, 'walkers2.json': '{}' });
    const kept = await init(there, '--like', 'heron.glb', 'walkers2.json');
    expect([kept.code, kept.stderr]).toEqual([
      2,
      expect.stringMatching(/^trysquare: walkers2\.json is no rig; .*name it before --like/),
    ]);
  });

  it.each([
    ['--without', 'old'],
    ['--time-limit', '5'],
  ])('%s needs it', async (...args) => {
    const { code, stderr } = await init(tempFolder(), ...args);
    expect([code, stderr]).toEqual([2, expect.stringContaining('go with --like')]);
  });

  it('gives up a rig that takes longer than it may', async () => {
    const cwd = tempFolder({ 'heron.glb': heron });
    const stderr = new PassThrough();
    const io = { ...processIo(), cwd, stderr };
    const standard = { shown: 'house.json', put: () => expect.fail('nothing is to be written') };
    expect(await initLike(['heron.glb'], { timeLimit: 0.001 }, io, standard)).toBe(3);
    expect(String(stderr.read())).toContain('takes longer than the limit of 0.001 s');
  });

  it('is in the help, with its options and an example', async () => {
    const { stdout } = await runCli(['standard', 'init', '--help'], { cwd: tempFolder() });
    expect(stdout).toMatch(/--like <path\.\.\.>.*--without <pattern>.*--time-limit <seconds>/s);
    expect(stdout).toContain('\n  trysquare standard init --like approved/heron.glb');
  });
});
