import { existsSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { PartFile } from '../../src/batch/part-file.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';
import { treeOf } from '../support/tree-of.js';

const flipped = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });
const rootless = buildGlb('marionette', { faults: [faultNamed('torn-forearm')] });
const mule = buildGlb('mule');

const namesIn = (cwd: string): string[] => Object.keys(treeOf(cwd));

describe('a mend of many assets', () => {
  it('keeps the tree of folders, tells a block an asset and a tally, and leaves the input as it is', async () => {
    const files = {
      'cast/birds/heron.glb': flipped,
      'cast/mule.glb': mule,
      'cast/torn.glb': rootless,
    };
    const cwd = tempFolder(files);
    const before = treeOf(cwd);
    const { code, stdout, stderr } = await runCli(['mend', 'cast', '--out-dir', 'out'], { cwd });
    expect([code, stderr]).toEqual([4, '']);
    const lines = stdout.trimEnd().split('\n');
    expect(lines.filter((line) => !line.startsWith(' '))).toEqual([
      'cast/birds/heron.glb: unsound, 1 error, 0 warnings, 0 notes -> sound, 0 errors, 0 warnings, 0 notes; written to out/birds/heron.glb.',
      'cast/mule.glb: sound, 0 errors, 0 warnings, 0 notes; nothing was mended, so it was left as it is.',
      'cast/torn.glb: unsound, 1 error, 0 warnings, 0 notes; nothing was written: nothing was mended.',
      '3 assets: 1 mended and written, 1 of them sound now; 1 sound before, and left as they were; 1 not written, since nothing could be mended as asked.',
    ]);
    expect(lines).toContain(
      '  mended axis.up at body/thigh_L/shin_L: frame 180° off -> aim +Y, up +Z',
    );
    expect(stdout).toMatch(/^ {2}left rest\.bind at .*--rest-from bind/m);
    const { 'out/birds/heron.glb': made, ...now } = treeOf(cwd);
    expect(made).toBeDefined();
    expect(now).toEqual(before);
    expect((await runCli(['check', 'out'], { cwd })).code).toBe(0);
  });

  it('makes the same bytes as a mend of the one file', async () => {
    const cwd = tempFolder({ 'cast/heron.glb': flipped });
    await runCli(['mend', 'cast', '--out-dir', 'out'], { cwd });
    await runCli(['mend', 'cast/heron.glb', '-o', 'alone.glb'], { cwd });
    const [many, alone] = ['out/heron.glb', 'alone.glb'].map((name) =>
      readFileSync(join(cwd, name)),
    );
    expect(many?.equals(alone ?? Buffer.of())).toBe(true);
  });

  it('copies sound assets where that is asked', async () => {
    const cwd = tempFolder({ 'cast/heron.glb': flipped, 'cast/mule.glb': mule });
    const args = ['mend', 'cast', '--out-dir', 'out', '--sound', 'copy'];
    const { code, stdout } = await runCli(args, { cwd });
    expect([code, stdout]).toEqual([0, expect.stringContaining('so out/mule.glb is a copy')]);
    expect(readFileSync(join(cwd, 'out/mule.glb')).equals(Buffer.from(mule))).toBe(true);
  });

  it('does not mend again what an earlier run made, and takes it for done where it is the same', async () => {
    const cwd = tempFolder({ 'cast/heron.glb': flipped });
    const args = ['mend', 'cast', '--out-dir', 'cast/out'];
    expect((await runCli(args, { cwd })).code).toBe(0);
    const first = treeOf(cwd);
    const again = await runCli(args, { cwd });
    expect([again.code, again.stdout]).toEqual([0, expect.stringContaining('1 asset: ')]);
    expect(treeOf(cwd)).toEqual(first);
  });

  it('writes over what is there only where that is allowed', async () => {
    const cwd = tempFolder({ 'cast/heron.glb': flipped, 'out/heron.glb': 'of somebody else' });
    const args = ['mend', 'cast', '--out-dir', 'out'];
    const refused = await runCli(args, { cwd });
    expect([refused.code, refused.stdout]).toEqual([
      2,
      expect.stringContaining('out/heron.glb exists already; add --replace to overwrite it'),
    ]);
    expect(readFileSync(join(cwd, 'out/heron.glb'), 'utf8')).toBe('of somebody else');
    expect((await runCli([...args, '--replace'], { cwd })).code).toBe(0);
    expect((await runCli(['check', 'out'], { cwd })).code).toBe(0);
  });

  it('mends files over themselves, one file under two names once', async () => {
    const cwd = tempFolder({ 'cast/heron.glb': flipped, 'cast/mule.glb': mule });
    symlinkSync('heron.glb', join(cwd, 'cast/link.glb'));
    const { code, stdout } = await runCli(['mend', 'cast', '--in-place'], { cwd });
    expect([code, stdout]).toEqual([
      2,
      expect.stringContaining(
        'cast/link.glb was not mended: it is the same file as cast/heron.glb, which is mended.',
      ),
    ]);
    expect(readFileSync(join(cwd, 'cast/heron.glb.before-mend')).equals(Buffer.from(flipped))).toBe(
      true,
    );
    expect((await runCli(['check', 'cast'], { cwd })).code).toBe(0);
    expect(readFileSync(join(cwd, 'cast/mule.glb')).equals(Buffer.from(mule))).toBe(true);
  });

  it('a dry run writes nothing and ends as the run would', async () => {
    const cwd = tempFolder({ 'cast/heron.glb': flipped, 'cast/mule.glb': mule });
    const { code, stdout } = await runCli(['mend', 'cast', '--dry-run'], { cwd });
    expect([code, stdout]).toEqual([0, expect.stringContaining('2 planned, 2 of them sound then')]);
    expect(namesIn(cwd)).toEqual(['cast/heron.glb', 'cast/mule.glb']);
  });

  it('with --quiet only faults and the last line are told', async () => {
    const cwd = tempFolder({
      'cast/heron.glb': flipped,
      'cast/torn.glb': rootless,
      'cast/cut.glb': flipped.slice(0, 900),
    });
    const { code, stdout } = await runCli(['mend', 'cast', '--out-dir', 'out', '-q'], { cwd });
    expect(code).toBe(3);
    expect(stdout.split('\n').filter((line) => /^\S/.test(line))).toEqual([
      expect.stringMatching(/^cast\/cut\.glb cannot be mended: /),
      expect.stringMatching(/^cast\/torn\.glb: unsound, /),
      expect.stringMatching(/^3 assets: 1 mended and written, 1 of them sound now; /),
    ]);
    const alone = await runCli(['mend', 'cast/heron.glb', '-o', 'a.glb', '-q'], { cwd });
    expect([alone.stdout, alone.stderr]).toEqual([
      'cast/heron.glb, after the mend: sound, 0 errors, 0 warnings, 0 notes.\n',
      '',
    ]);
  });

  it('divides a list into parts that together mend all of it', async () => {
    const cwd = tempFolder({ 'cast/a.glb': flipped, 'cast/b.glb': flipped, 'cast/c.glb': mule });
    const run = (part: string) =>
      runCli(['mend', 'cast', '--out-dir', 'out', '--sound', 'copy', '--part', part], { cwd });
    const [one, two] = [await run('1/2'), await run('2/2')];
    expect([one.code, two.code]).toEqual([0, 0]);
    expect(namesIn(join(cwd, 'out'))).toEqual(['a.glb', 'b.glb', 'c.glb']);
    expect(one.stdout).not.toContain('3 assets');
  });

  it.each([
    [['cast'], 'Name a folder with --out-dir DIR'],
    [['cast', '-o', 'out.glb'], 'name a folder with --out-dir DIR'],
    [['cast', '--out-dir', 'cast'], 'the folder that is searched'],
    [['cast', '--out-dir', 'cast/heron.glb'], 'which is a file'],
    [['cast', '--out-dir', 'out', '--in-place'], 'leave out --out, --out-dir'],
    [['cast/heron.glb', '--out-dir', 'out', '-o', 'a.glb'], 'leave one of them out'],
    [['cast/heron.glb', '-o', 'a.glb', '--sound', 'copy'], '--sound goes with --out-dir'],
    [['-', 'cast', '--out-dir', 'out'], 'standard input cannot be mended'],
    [['cast', '--out-dir', 'out', '--report', 'r.txt'], 'ends in .json'],
    [['cast', '--out-dir', 'out', '--report', 'there.json'], 'add --replace'],
    [['cast/out', '--out-dir', 'cast/out/'], 'the folder that is searched'],
  ])('%j is refused, and nothing is written', async (args, words) => {
    const cwd = tempFolder({
      'cast/heron.glb': flipped,
      'there.json': 'x',
      'cast/out/a.glb': mule,
    });
    const before = treeOf(cwd);
    const { code, stderr } = await runCli(['mend', ...args], { cwd });
    expect([code, stderr]).toEqual([2, expect.stringContaining(words)]);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(treeOf(cwd)).toEqual(before);
  });

  it('two assets of one place go nowhere, and the others are mended', async () => {
    const cwd = tempFolder({ 'a/heron.glb': flipped, 'b/heron.glb': mule, 'b/mule.glb': flipped });
    const { code, stdout } = await runCli(['mend', 'a', 'b', '--out-dir', 'out'], { cwd });
    const both =
      'a/heron.glb and b/heron.glb would both write out/heron.glb; mend them into different folders';
    expect([code, stdout]).toEqual([
      2,
      expect.stringContaining(`a/heron.glb was not mended: ${both}.`),
    ]);
    expect(stdout).toContain(`b/heron.glb was not mended: ${both}.`);
    expect(namesIn(join(cwd, 'out'))).toEqual(['mule.glb']);
  });

  it('a target that leads back to an asset is not written, be it through a link', async () => {
    const cwd = tempFolder({
      'cast/birds/heron.glb': flipped,
      'cast/mule.glb': flipped,
      'out/x': '',
    });
    symlinkSync('../cast/birds', join(cwd, 'out/birds'));
    const args = ['mend', 'cast', '--out-dir', 'out', '--replace'];
    const { code, stdout } = await runCli(args, { cwd });
    expect([code, stdout]).toEqual([
      2,
      expect.stringContaining(
        'the result would overwrite out/birds/heron.glb, a file of cast/birds/heron.glb',
      ),
    ]);
    expect(readFileSync(join(cwd, 'cast/birds/heron.glb')).equals(Buffer.from(flipped))).toBe(true);
    expect(existsSync(join(cwd, 'out/mule.glb'))).toBe(true);
  });

  it('what cannot be read is one line, and the run goes on', async () => {
    const cwd = tempFolder({
      'cast/cut.glb': flipped.slice(0, 900),
      'cast/heron.glb': flipped,
      'cast/none.gltf': '',
    });
    symlinkSync('nowhere.glb', join(cwd, 'cast/link.glb'));
    const { code, stdout } = await runCli(['mend', 'cast', '--out-dir', 'out'], { cwd });
    expect(code).toBe(3);
    expect(stdout.split('\n').filter((line) => line.includes('cannot be mended: '))).toHaveLength(
      3,
    );
    expect(namesIn(join(cwd, 'out'))).toEqual(['heron.glb']);
  });

  it('holds each asset to the standard that is nearest to it', async () => {
    const standard = JSON.stringify({ conventions: { aim: '+X', up: '+Y' } });
    const cwd = tempFolder({
      'cast/x/heron.glb': buildGlb('heron'),
      'cast/x/trysquare.json': standard,
      'cast/heron.glb': buildGlb('heron'),
    });
    const { code, stdout } = await runCli(['mend', 'cast', '--out-dir', 'out'], { cwd });
    expect([code, stdout]).toEqual([
      0,
      expect.stringMatching(/mended axis\.uniform at \S+: aim \+Y, up \+Z/),
    ]);
    expect(namesIn(join(cwd, 'out'))).toEqual(['x/heron.glb']);
  });
});

describe('files that an asset names', () => {
  const built = build('heron', {
    container: 'gltf-external',
    faults: [faultNamed('flipped-shin')],
  });
  const texture = Buffer.from('not a picture at all');

  /** The heron with pictures beside it, in files of its folder. */
  function withImages(uris: readonly string[], name = built.main): Record<string, Uint8Array> {
    const json = JSON.parse(Buffer.from(built.files.get(built.main) ?? []).toString()) as object;
    const text = JSON.stringify({ ...json, images: uris.map((uri) => ({ uri })) });
    const files = [...built.files].filter(([file]) => file !== built.main);
    return { ...Object.fromEntries(files), [name]: Buffer.from(text) };
  }

  const into = (folder: string, files: Record<string, Uint8Array>): Record<string, Uint8Array> =>
    Object.fromEntries(Object.entries(files).map(([name, bytes]) => [`${folder}/${name}`, bytes]));

  it('go along with -o into another folder and with --out-dir, unread', async () => {
    const cwd = tempFolder({
      ...into('cast', withImages(['skins/a%20b.png'])),
      'cast/skins/a b.png': texture,
      'out/x': '',
    });
    const alone = await runCli(['mend', `cast/${built.main}`, '-o', `out/${built.main}`], { cwd });
    expect([alone.code, alone.stderr]).toEqual([
      0,
      expect.stringContaining('1 file that it names is copied to out'),
    ]);
    const many = await runCli(['mend', 'cast', '--out-dir', 'more'], { cwd });
    expect(many.code).toBe(0);
    for (const folder of ['out', 'more']) {
      expect(readFileSync(join(cwd, folder, 'skins/a b.png')).equals(texture)).toBe(true);
      expect((await runCli(['check', `${folder}/${built.main}`], { cwd })).code).toBe(0);
    }
    expect(namesIn(join(cwd, 'more')).sort()).toEqual(
      [...built.files.keys(), 'skins/a b.png'].sort(),
    );
  });

  it('are shared by the assets of a folder, each with its own buffer where that changes', async () => {
    const cwd = tempFolder({
      ...into('cast', withImages(['skin.png'])),
      ...into('cast', withImages(['skin.png'], 'twin.gltf')),
      'cast/skin.png': texture,
    });
    const { code } = await runCli(['mend', 'cast', '--out-dir', 'out'], { cwd });
    expect(code).toBe(0);
    expect((await runCli(['check', 'out'], { cwd })).code).toBe(0);
    expect(namesIn(join(cwd, 'out'))).toEqual([
      'heron-mended-2.bin',
      'heron.gltf',
      'skin.png',
      'twin.bin',
      'twin.gltf',
    ]);
  });

  it('never come from outside the folder of the asset, and that they stay behind is told', async () => {
    const cwd = tempFolder({
      ...into(
        'cast',
        withImages(['../secret.png', 'link.png', 'gone.png', 'folder', '/etc/hostname']),
      ),
      'secret.png': texture,
      'cast/folder/x': '',
    });
    symlinkSync('../secret.png', join(cwd, 'cast/link.png'));
    const { code, stdout } = await runCli(['mend', 'cast', '--out-dir', 'out'], { cwd });
    expect(code).toBe(0);
    const told = stdout.split('\n').filter((line) => line.includes('was not copied'));
    expect(
      told.map((line) => /names (\S+), which was not copied: (.*); copy/.exec(line)?.slice(1)),
    ).toEqual([
      ['../secret.png', "it is outside the asset's folder"],
      ['link.png', "it is a link to a file outside the asset's folder"],
      ['gone.png', 'there is no such file'],
      ['folder', 'it is not a regular file'],
      ['/etc/hostname', "it is outside the asset's folder"],
    ]);
    expect(namesIn(join(cwd, 'out')).sort()).toEqual([...built.files.keys()].sort());
  });

  it('go along once, however an asset spells their names', async () => {
    const uris = ['skin.png', './skin.png', '%73kin.png', 'x/../skin.png', 'far/'.repeat(900)];
    const cwd = tempFolder({ ...into('cast', withImages(uris)), 'cast/skin.png': texture });
    const { code, stdout } = await runCli(['mend', 'cast', '--out-dir', 'out'], { cwd });
    expect(code).toBe(0);
    expect(namesIn(join(cwd, 'out')).sort()).toEqual([...built.files.keys(), 'skin.png'].sort());
    // One that is very long is told in one line that can be read.
    const told = stdout.split('\n').filter((line) => line.includes('was not copied'));
    expect(told.map((line) => line.length < 400)).toEqual([true]);
  });

  // The folder of a test tells cases apart on Linux, and not on all machines.
  it.skipIf(existsSync(tmpdir().toUpperCase()))(
    'may differ in the case of their names alone, unless the disk that is written to takes them for one',
    async () => {
      const cwd = tempFolder({
        ...into('cast', withImages(['skin.png', 'Skin.png'])),
        'cast/skin.png': texture,
        'cast/Skin.png': 'another',
        'pair/mule.glb': flipped,
        'pair/Mule.glb': mule,
      });
      const run = (...args: string[]) => runCli(['mend', ...args], { cwd });
      const one = vi.spyOn(PartFile.prototype, 'isFoundInCapitals').mockReturnValue(true);
      onTestFinished(() => void one.mockRestore());
      const alone = await run(`cast/${built.main}`, '-o', `${built.main}`);
      expect([alone.code, alone.stderr]).toEqual([
        2,
        expect.stringContaining(
          'two files of the asset would be written to Skin.png, since the names differ in case alone and this disk takes them for one',
        ),
      ]);
      const pair = await run('pair', '--out-dir', 'both', '--sound', 'copy');
      expect([pair.code, pair.stdout]).toEqual([
        2,
        expect.stringContaining('pair/Mule.glb and pair/mule.glb would both write both/mule.glb'),
      ]);
      expect(namesIn(cwd).filter((name) => !/^(cast|pair)/.test(name))).toEqual([]);
      one.mockRestore();
      for (const args of [
        ['cast', '--out-dir', 'out'],
        ['pair', '--out-dir', 'both', '--sound', 'copy'],
      ])
        expect((await run(...args)).code).toBe(0);
      expect(readFileSync(join(cwd, 'out/Skin.png'), 'utf8')).toBe('another');
      expect(readFileSync(join(cwd, 'out/skin.png')).equals(texture)).toBe(true);
      expect(namesIn(join(cwd, 'both')).sort()).toEqual(['Mule.glb', 'mule.glb']);
    },
  );

  it('of two folders do not overwrite each other', async () => {
    const cwd = tempFolder({
      ...into('a', withImages(['skin.png'], 'one.gltf')),
      ...into('b', withImages(['skin.png'], 'two.gltf')),
      'a/skin.png': texture,
      'b/skin.png': 'another',
    });
    const { code, stdout } = await runCli(['mend', 'a', 'b', '--out-dir', 'out', '--replace'], {
      cwd,
    });
    expect([code, stdout]).toEqual([
      2,
      expect.stringMatching(/would both write out\/\S+; mend them into different folders/),
    ]);
    expect(existsSync(join(cwd, 'out'))).toBe(false);
  });

  it('are not put in the place of others that are there', async () => {
    const cwd = tempFolder({ ...into('cast', withImages(['skin.png'])), 'cast/skin.png': texture });
    writeFileSync(join(cwd, 'skin.png'), 'of somebody else');
    const args = ['mend', `cast/${built.main}`, '-o', built.main];
    const { code, stderr } = await runCli(args, { cwd });
    expect([code, stderr]).toEqual([2, expect.stringContaining('skin.png exists already')]);
    expect(readFileSync(join(cwd, 'skin.png'), 'utf8')).toBe('of somebody else');
    expect(existsSync(join(cwd, built.main))).toBe(false);
  });
});
