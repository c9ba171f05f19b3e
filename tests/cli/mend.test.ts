import {
  chmodSync,
  existsSync,
  lstatSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { build, buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';
import { treeOf } from '../support/tree-of.js';

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
    expect(lines[1]).toBe('  mend axis.up at body/thigh_L/shin_L: frame 180° off -> aim +Y, up +Z');
    expect(lines[2]).toMatch(
      /^Proof: 1450 vertices in 10 poses skinned before and after, at most \S+ % of size apart \(limit 0\.001 % of size\)\.$/,
    );
    expect(lines[3]).toBe('After the mend: sound, 0 errors, 0 warnings, 0 notes.');
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

  it('leaves alone what would make a sound rig unsound, and says how it can be had', async () => {
    // Scaled by a billionth at every joint, so that no 32-bit float holds where the last ones stand.
    const puppet = raisePuppet('heron');
    puppet.edits.push((json) => {
      for (const node of json.nodes) node.scale = [1e-9, 1e-9, 1e-9];
      for (const mesh of json.meshes ?? []) mesh.primitives = [];
    });
    const bytes = mainFile(buildPuppet(puppet, { positions: 'quantised-node', unitScale: 100 }));
    const cwd = tempFolder({ 'heron.glb': bytes });
    const { code, stdout } = await runCli(['mend', 'heron.glb', '-o', 'mended.glb'], { cwd });
    expect(stdout).toMatch(/^heron\.glb: sound, 0 errors/);
    expect(stdout).toMatch(
      /^ {2}left scale\.unit at body\/.* and \d+ more places: a mend of it would bring up skin\.bind-matrix \(error\) at body\/.*; to mend it nevertheless, add --also scale\.unit$/m,
    );
    expect(stdout).toMatch(/^After the mend: sound, 0 errors/m);
    expect([code, existsSync(join(cwd, 'mended.glb'))]).toEqual([0, true]);
    const asked = await runCli(['mend', 'heron.glb', '--also', 'scale.unit', '--dry-run'], { cwd });
    expect(asked.stdout).toContain('  new skin.bind-matrix at ');
    expect(asked.code).toBe(1);
  });

  it('tells of names that go on for pages in lines that do not', async () => {
    const puppet = raisePuppet('heron', { faults: [faultNamed('flipped-shin')] });
    puppet.edits.push((json) => {
      for (const node of json.nodes) node.name = 'lantern '.repeat(2000);
    });
    const cwd = tempFolder({ 'heron.glb': mainFile(buildPuppet(puppet)) });
    const { stdout } = await runCli(['mend', 'heron.glb', '--dry-run'], { cwd });
    const lines = stdout.split('\n');
    expect(lines.filter((line) => line.startsWith('  mend '))).not.toEqual([]);
    expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(2000);
    expect(lines.at(-2)).toMatch(/^After the mend: /);
  });

  it('--dry-run shows the same and writes nothing', async () => {
    const cwd = tempFolder({ 'heron.glb': flipped });
    const { stdout } = await runCli(['mend', 'heron.glb', '--dry-run'], { cwd });
    expect(stdout).toContain('After the mend: sound');
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

  it('does not mend what the rules or families to skip find', async () => {
    const cwd = tempFolder({
      'heron.glb': buildGlb('heron', { faults: ['flipped-shin', 'crooked-neck'].map(faultNamed) }),
    });
    const run = async (...more: string[]): Promise<string> =>
      (await runCli(['mend', 'heron.glb', '--dry-run', ...more], { cwd })).stdout;
    const one = await run('--skip', 'axis.up');
    expect(one).toContain('mend axis.aim');
    expect(one).not.toContain('mend axis.up');
    expect(await run('--skip', 'axis')).toContain('nothing to mend');
    expect(await run('--only', 'axis', '--skip', 'axis.aim,chain.stretch')).toContain(
      'mend axis.up',
    );
  });

  it('--in-place keeps what it writes over, once, and writes nothing where nothing is to mend', async () => {
    const cwd = tempFolder({ 'heron.glb': flipped });
    const { code, stderr } = await runCli(['mend', 'heron.glb', '--in-place'], { cwd });
    expect([code, stderr]).toEqual([
      0,
      'trysquare: the mended file is heron.glb; the file before it is kept as heron.glb.before-mend\n',
    ]);
    expect((await runCli(['check', 'heron.glb'], { cwd })).code).toBe(0);
    const kept = readFileSync(join(cwd, 'heron.glb.before-mend'));
    expect(kept.equals(Buffer.from(flipped))).toBe(true);
    expect((await runCli(['mend', 'heron.glb', '--in-place'], { cwd })).code).toBe(0);
    expect(readdirSync(cwd).sort()).toEqual(['heron.glb', 'heron.glb.before-mend']);
    // As a run leaves it that was killed between the copy and the mended file.
    writeFileSync(join(cwd, 'heron.glb'), flipped);
    expect((await runCli(['mend', 'heron.glb', '--in-place'], { cwd })).code).toBe(0);
    const other = buildGlb('heron', { faults: [faultNamed('crooked-neck')] });
    writeFileSync(join(cwd, 'heron.glb'), other);
    const again = await runCli(['mend', 'heron.glb', '--in-place'], { cwd });
    expect([again.code, again.stderr]).toEqual([2, expect.stringContaining('exists already')]);
    expect(readFileSync(join(cwd, 'heron.glb')).equals(Buffer.from(other))).toBe(true);
  });

  it('--in-place leaves all as it is where a copy would lead to what changed, or a name is taken', async () => {
    const built = build('heron', {
      container: 'gltf-external',
      faults: [faultNamed('flipped-shin')],
    });
    const twice = buildGlb('heron', { faults: [faultNamed('two-of-one-name')] });
    for (const [files, name, words] of [
      [Object.fromEntries(built.files), built.main, 'is a separate file'],
      [
        { 'n.glb': twice, 'n.names.json': 'mine' },
        'n.glb',
        'n.names.json, which --in-place would write, exists already; move it',
      ],
    ] as const) {
      const cwd = tempFolder(files);
      const before = treeOf(cwd);
      const { code, stderr } = await runCli(['mend', name, '--also', 'name', '--in-place'], {
        cwd,
      });
      expect([code, stderr]).toEqual([2, expect.stringContaining(words)]);
      expect(treeOf(cwd)).toEqual(before);
    }
  });

  it('an ending that does not fit what is written is refused before anything is', async () => {
    const cwd = tempFolder({ 'heron.glb': flipped });
    for (const out of ['heron.txt', 'heron-mended', 'heron.gltf']) {
      const { code, stdout, stderr } = await runCli(['mend', 'heron.glb', '-o', out], { cwd });
      expect([code, stdout]).toEqual([2, '']);
      expect(stderr).toContain('the mended file is a .glb, as the asset is');
    }
    expect(readdirSync(cwd)).toEqual(['heron.glb']);
  });

  it.each([
    ['a name with no room for that of the copy', `${'x'.repeat(240)}.glb`, null, /too long/],
    ['a link to nothing where the copy goes', 'heron.glb', 'gone', /exists already; move it/],
  ])('--in-place tells of %s, and leaves the file', async (_, name, link, why) => {
    const cwd = tempFolder({ [name]: flipped });
    if (link !== null) symlinkSync(link, join(cwd, `${name}.before-mend`));
    const before = readdirSync(cwd);
    const { code, stderr } = await runCli(['mend', name, '--in-place'], { cwd });
    expect([code, stderr]).toEqual([2, expect.stringMatching(why)]);
    expect(stderr.split('\n').length).toBe(2);
    expect(readdirSync(cwd)).toEqual(before);
    expect(readFileSync(join(cwd, name)).equals(Buffer.from(flipped))).toBe(true);
  });

  it('--in-place keeps the mode of a file, goes where a link leads, and minds write protection', async () => {
    const cwd = tempFolder({ 'heron.glb': flipped });
    chmodSync(join(cwd, 'heron.glb'), 0o640);
    symlinkSync('heron.glb', join(cwd, 'link.glb'));
    const mended = await runCli(['mend', 'link.glb', '--in-place'], { cwd });
    expect([mended.code, mended.stderr]).toEqual([
      0,
      'trysquare: the mended file is heron.glb; the file before it is kept as heron.glb.before-mend\n',
    ]);
    expect(lstatSync(join(cwd, 'link.glb')).isSymbolicLink()).toBe(true);
    for (const name of ['heron.glb', 'heron.glb.before-mend'])
      expect(statSync(join(cwd, name)).mode & 0o777).toBe(0o640);
    expect((await runCli(['check', '.'], { cwd })).code).toBe(0);
    if (process.getuid?.() === 0) return;
    writeFileSync(join(cwd, 'kept.glb'), flipped);
    chmodSync(join(cwd, 'kept.glb'), 0o444);
    const { code, stderr } = await runCli(['mend', 'kept.glb', '--in-place'], { cwd });
    expect([code, stderr]).toEqual([2, expect.stringContaining('cannot be written')]);
  });

  it('names what the mend brings up, and the rules that it has no repair for', async () => {
    const cwd = tempFolder({
      'mule.glb': buildGlb('mule', { faults: [faultNamed('forelegs-hung-by-the-hoof')] }),
      'heron.glb': buildGlb('heron', { faults: [faultNamed('far-perch')] }),
    });
    const mule = await runCli(['mend', 'mule.glb', '--also', 'chain', '--dry-run'], { cwd });
    expect(mule.stdout).toMatch(/^ {2}new chain\.length at .*: "forearm_[LR]" lies on its parent/m);
    const heron = await runCli(['mend', 'heron.glb', '--dry-run'], { cwd });
    expect([heron.code, heron.stdout]).toEqual([
      0,
      expect.stringMatching(/^ {2}not mended: root\.centre; run trysquare check to see where/m),
    ]);
  });

  it('leaves alone what a ledger waives, and judges as a check does', async () => {
    const cwd = tempFolder({ 'heron.glb': flipped });
    await runCli(['check', 'heron.glb', '--out', 'now.json'], { cwd });
    await runCli(['waive', 'now.json', '--all', '--why', 'an old bird', '--by', 'rigging'], {
      cwd,
    });
    const waived = await runCli(['mend', 'heron.glb', '--dry-run'], { cwd });
    expect(waived.code).toBe(0);
    expect(waived.stdout).toContain(
      '  left axis.up at body/thigh_L/shin_L: waived, an old bird\n  nothing to mend\n',
    );
    const all = await runCli(['mend', 'heron.glb', '--dry-run', '--no-ledger'], { cwd });
    expect(all.stdout).toContain('  mend axis.up at body/thigh_L/shin_L');
  });

  it("turns a rig to the standard's convention, and mends by family", async () => {
    const standard = JSON.stringify({ conventions: { aim: '+X', up: '+Y' } });
    const cwd = tempFolder({ 'heron.glb': buildGlb('heron', {}), 'trysquare.json': standard });
    expect((await runCli(['check', 'heron.glb'], { cwd })).code).toBe(1);
    const asked = ['--only', 'axis', '-o', 'x.glb'];
    const { code, stdout } = await runCli(['mend', 'heron.glb', ...asked], { cwd });
    expect(code).toBe(0);
    expect(stdout).toMatch(
      /mend axis\.uniform at \S+: aim \+Y, up \+Z -> aim \+X, up \+Y on \d+ joints/,
    );
    expect((await runCli(['check', 'x.glb'], { cwd })).code).toBe(0);
  });

  it('nothing that the asset leads to is written over, even with --replace', async () => {
    const built = build('heron', {
      container: 'gltf-external',
      faults: [faultNamed('flipped-shin')],
    });
    // Mended into this name, the asset would have a buffer of the name that it leads to.
    const files = [...built.files].map(([name, bytes]): [string, Uint8Array] => [
      name === built.main ? 'stage.gltf' : name,
      bytes,
    ]);
    const cwd = tempFolder(Object.fromEntries(files));
    const before = treeOf(cwd);
    const out = ['-o', built.main, '--replace'];
    const { code, stderr } = await runCli(['mend', 'stage.gltf', ...out], { cwd });
    expect([code, stderr]).toEqual([2, expect.stringContaining('belongs to the asset')]);
    expect(treeOf(cwd)).toEqual(before);
  });

  it('writes which joints were renamed beside the result', async () => {
    const bytes = buildGlb('heron', { faults: [faultNamed('two-of-one-name')] });
    const cwd = tempFolder({ 'heron.glb': bytes });
    const { stderr } = await runCli(['mend', 'heron.glb', '--also', 'name', '-o', 'mended.glb'], {
      cwd,
    });
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
    [['heron.glb'], 'does not overwrite its input'],
    [['heron.glb', '-o', 'heron.glb'], 'names the file to be mended'],
    [['heron.glb', '-o', './heron.glb', '--replace'], 'names the file to be mended'],
    [['heron.glb', '-o', 'there.glb'], 'add --replace'],
    [['heron.glb', '-o', 'none/a.glb'], 'its folder does not exist'],
    [['heron.glb', '-o', 'a.gltf'], 'give --out that ending'],
    [['heron.glb', '-o', 'a.glb', '--in-place'], 'leave out --out, --out-dir and --replace'],
    [['heron.glb', '-o', 'a.glb', '--aim', '+X'], '--aim and --up go together'],
    [['heron.glb', '-o', 'a.glb', '--aim', '+X', '--up', '-X'], 'at right angles'],
    [['heron.glb', '-o', 'a.glb', '--only', 'axis.upp'], 'Did you mean "axis.up"?'],
    [
      ['heron.glb', '-o', 'a.glb', '--only', 'motion.collapse'],
      'cannot mend what motion.collapse finds',
    ],
    [['heron.glb', '-o', 'a.glb', '--skip', 'axis.upp'], 'Did you mean "axis.up"?'],
    [['heron.glb', '-o', 'a.glb', '--only', 'axis', '--skip', 'axis'], 'leave nothing to mend'],
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
