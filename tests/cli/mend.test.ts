import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const flipped = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

describe('mend', () => {
  it('shows the plan, the proof and both verdicts, and writes a rig that is sound', async () => {
    const cwd = tempFolder({ 'heron.glb': flipped });
    const { code, stdout, stderr } = await runCli(['mend', 'heron.glb', '-o', 'mended.glb'], {
      cwd,
    });
    expect([code, stderr]).toEqual([0, 'trysquare: the mended file is mended.glb\n']);
    const lines = stdout.trimEnd().split('\n');
    expect(lines[0]).toBe('heron.glb: unsound, 1 error, 0 warnings, 0 notes.');
    expect(lines[1]).toBe('  mend axis.up at body/thigh_L/shin_L: 180° off -> aim +Y, up +Z');
    expect(lines[2]).toMatch(
      /^Proof: 1450 vertices in 10 poses skinned before and after, at most \S+ % of size apart \(limit 0\.001 % of size\)\.$/,
    );
    expect(lines[3]).toBe('Afterwards: sound, 0 errors, 0 warnings, 0 notes.');
    expect((await runCli(['check', 'mended.glb'], { cwd })).code).toBe(0);
    expect(readFileSync(join(cwd, 'heron.glb')).equals(Buffer.from(flipped))).toBe(true);
  });

  it('is wrapped for a terminal, each line of the plan set off from the next', async () => {
    const cwd = tempFolder({ 'heron.glb': flipped });
    const { stdout } = await runCli(['mend', 'heron.glb', '--dry-run'], { cwd, columns: 50 });
    const lines = stdout.trimEnd().split('\n');
    expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(50);
    const plan = lines.findIndex((line) => line.startsWith('  mend axis.up at '));
    expect(lines[plan + 1]).toMatch(/^ {4}\S/);
  });

  it('--dry-run shows the same and writes nothing', async () => {
    const cwd = tempFolder({ 'heron.glb': flipped });
    const { stdout } = await runCli(['mend', 'heron.glb', '--dry-run'], { cwd });
    expect(stdout).toContain('Afterwards: sound');
    expect(readdirSync(cwd)).toEqual(['heron.glb']);
  });

  it('mends only what the rules named find', async () => {
    const cwd = tempFolder({
      'heron.glb': buildGlb('heron', { faults: ['flipped-shin', 'crooked-neck'].map(faultNamed) }),
    });
    const { stdout, code } = await runCli(
      ['mend', 'heron.glb', '--only', 'axis.aim', '-o', 'a.glb'],
      { cwd },
    );
    expect(code).toBe(1);
    expect(stdout).toContain('mend axis.aim');
    expect(stdout).not.toContain('mend axis.up');
  });

  it('--in-place keeps what it writes over, once, and writes nothing where nothing is to mend', async () => {
    const cwd = tempFolder({ 'heron.glb': flipped });
    const { code, stderr } = await runCli(['mend', 'heron.glb', '--in-place'], { cwd });
    expect([code, stderr]).toEqual([
      0,
      'trysquare: the mended file is heron.glb; what it was is kept as heron.before-mend.glb\n',
    ]);
    expect((await runCli(['check', 'heron.glb'], { cwd })).code).toBe(0);
    const kept = readFileSync(join(cwd, 'heron.before-mend.glb'));
    expect(kept.equals(Buffer.from(flipped))).toBe(true);
    expect((await runCli(['mend', 'heron.glb', '--in-place'], { cwd })).code).toBe(0);
    expect(readdirSync(cwd).sort()).toEqual(['heron.before-mend.glb', 'heron.glb']);
    writeFileSync(join(cwd, 'heron.glb'), flipped);
    const again = await runCli(['mend', 'heron.glb', '--in-place'], { cwd });
    expect([again.code, again.stderr]).toEqual([2, expect.stringContaining('is there already')]);
    expect(readFileSync(join(cwd, 'heron.glb')).equals(Buffer.from(flipped))).toBe(true);
  });

  it('--in-place leaves all as it is where a copy would lead to what changed, or a name is taken', async () => {
    const built = build('heron', {
      container: 'gltf-external',
      faults: [faultNamed('flipped-shin')],
    });
    const twice = buildGlb('heron', { faults: [faultNamed('two-of-one-name')] });
    for (const [files, name, words] of [
      [Object.fromEntries(built.files), built.main, 'is a file of its own'],
      [
        { 'n.glb': twice, 'n.names.json': 'mine' },
        'n.glb',
        'n.names.json, which --in-place would write, is there already; move it',
      ],
    ] as const) {
      const cwd = tempFolder(files);
      const before = new Map(readdirSync(cwd).map((item) => [item, readFileSync(join(cwd, item))]));
      const { code, stderr } = await runCli(['mend', name, '--in-place'], { cwd });
      expect([code, stderr]).toEqual([2, expect.stringContaining(words)]);
      expect(
        new Map(readdirSync(cwd).map((item) => [item, readFileSync(join(cwd, item))])),
      ).toEqual(before);
    }
  });

  it('nothing that the asset leads to is written over, even with --replace', async () => {
    const built = build('heron', {
      container: 'gltf-external',
      faults: [faultNamed('flipped-shin')],
    });
    const cwd = tempFolder(Object.fromEntries(built.files));
    const before = new Map(readdirSync(cwd).map((item) => [item, readFileSync(join(cwd, item))]));
    const [bin = ''] = readdirSync(cwd).filter((name) => name.endsWith('.bin'));
    for (const out of [bin.replace('.bin', '.json'), bin]) {
      const { code, stderr } = await runCli(['mend', built.main, '-o', out, '--replace'], { cwd });
      expect([code, stderr]).toEqual([2, expect.stringContaining('belongs to the asset')]);
      expect(
        new Map(readdirSync(cwd).map((item) => [item, readFileSync(join(cwd, item))])),
      ).toEqual(before);
    }
  });

  it('writes which joints were renamed beside the result', async () => {
    const bytes = buildGlb('heron', { faults: [faultNamed('two-of-one-name')] });
    const cwd = tempFolder({ 'heron.glb': bytes });
    const { stderr } = await runCli(['mend', 'heron.glb', '-o', 'mended.glb'], { cwd });
    expect(stderr).toContain('old to new in mended.names.json');
    const map = JSON.parse(readFileSync(join(cwd, 'mended.names.json'), 'utf8')) as object;
    const { stdout } = await runCli(['check', 'mended.glb', '--format', 'json'], { cwd });
    const paths = stdout.match(/"path": "[^"]*"/g)?.join(' ') ?? '';
    expect(Object.keys(map).length).toBeGreaterThan(0);
    for (const path of Object.values(map)) expect(paths).toContain(`"${String(path)}"`);
  });

  it('buffers beside a .gltf are written under the new name, and its own are left', async () => {
    const built = build('heron', {
      container: 'gltf-external',
      faults: [faultNamed('flipped-shin')],
    });
    const cwd = tempFolder(Object.fromEntries(built.files));
    const before = new Map(readdirSync(cwd).map((name) => [name, readFileSync(join(cwd, name))]));
    const { code } = await runCli(['mend', built.main, '-o', 'mended.gltf'], { cwd });
    expect(code).toBe(0);
    for (const [name, bytes] of before)
      expect(readFileSync(join(cwd, name)).equals(bytes)).toBe(true);
    expect(
      readdirSync(cwd)
        .filter((name) => !before.has(name))
        .sort(),
    ).toEqual(['mended.bin', 'mended.gltf']);
    expect((await runCli(['check', 'mended.gltf'], { cwd })).code).toBe(0);
  });

  it.each([
    [['heron.glb'], 'never writes over its input'],
    [['heron.glb', '-o', 'heron.glb'], 'names the file to be mended'],
    [['heron.glb', '-o', './heron.glb', '--replace'], 'names the file to be mended'],
    [['heron.glb', '-o', 'there.glb'], 'add --replace'],
    [['heron.glb', '-o', 'none/a.glb'], 'its folder does not exist'],
    [['heron.glb', '-o', 'a.gltf'], 'let --out end in that'],
    [['heron.glb', '-o', 'a.glb', '--in-place'], 'leave --out and --replace away'],
    [['heron.glb', '-o', 'a.glb', '--aim', '+X'], '--aim and --up go together'],
    [['heron.glb', '-o', 'a.glb', '--aim', '+X', '--up', '-X'], 'at right angles'],
    [['heron.glb', '-o', 'a.glb', '--only', 'axis.upp'], 'Did you mean "axis.up"?'],
    [['heron.glb', '-o', 'a.glb', '--only', 'chain.stretch'], 'cannot be mended by trysquare'],
    [['-', '-o', 'a.glb'], 'name a file'],
  ])('%j is refused with what is wrong, and nothing is written', async (args, words) => {
    const cwd = tempFolder({ 'heron.glb': flipped, 'there.glb': 'x' });
    const { code, stderr } = await runCli(['mend', ...args], { cwd });
    expect([code, stderr]).toEqual([2, expect.stringContaining(words)]);
    expect(readdirSync(cwd).sort()).toEqual(['heron.glb', 'there.glb']);
    expect(readFileSync(join(cwd, 'heron.glb')).equals(Buffer.from(flipped))).toBe(true);
  });

  it('what cannot be read, or would break, is one line and exit code 3', async () => {
    const cwd = tempFolder({ 'cut.glb': flipped.slice(0, 900) });
    const json = JSON.parse(
      Buffer.from(
        build('mule', { container: 'gltf-embedded' }).files.get('mule.gltf') ?? '',
      ).toString(),
    ) as object;
    writeFileSync(
      join(cwd, 'v.gltf'),
      JSON.stringify({ ...json, extensionsUsed: ['VRMC_vrm_animation'] }),
    );
    for (const [name, words] of [
      ['cut.glb', 'cut.glb cannot be mended'],
      ['none.glb', 'there is no such file'],
      ['v.gltf', 'VRMC_vrm_animation'],
    ] as const) {
      const { code, stderr } = await runCli(['mend', name, '-o', 'out.glb'], { cwd });
      expect([code, stderr]).toEqual([3, expect.stringContaining(words)]);
      expect(stderr.trimEnd().split('\n')).toHaveLength(1);
      expect(existsSync(join(cwd, 'out.glb'))).toBe(false);
    }
  });
});
