import {
  chmodSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { type Fault, withFaults } from '../support/faulty-fs.js';
import { type CliRun, runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';
import { treeOf } from '../support/tree-of.js';

const faults = [faultNamed('flipped-shin')];
const flipped = buildGlb('heron', { faults });
const apart = build('heron', { container: 'gltf-external', faults });

/** Two assets to mend, one of them in two files with a picture beside them. */
function cast(): Record<string, Uint8Array> {
  const json = JSON.parse(Buffer.from(apart.files.get(apart.main) ?? []).toString()) as object;
  const files = Object.fromEntries(apart.files);
  return {
    ...Object.fromEntries(Object.entries(files).map(([name, bytes]) => [`cast/a/${name}`, bytes])),
    [`cast/a/${apart.main}`]: Buffer.from(
      JSON.stringify({ ...json, images: [{ uri: 'skin.png' }] }),
    ),
    'cast/a/skin.png': Buffer.from('not a picture'),
    'cast/b.glb': flipped,
  };
}

/** Runs the command while the disk fails. */
async function runWith(
  fault: Fault,
  args: readonly string[],
  cwd: string,
): Promise<CliRun & { calls: number }> {
  let run: CliRun | null = null;
  const { calls, error } = await withFaults(fault, async () => {
    run = await runCli(args, { cwd });
  });
  if (run === null) throw error;
  return { ...(run as CliRun), calls };
}

const INTO = ['mend', 'cast', '--out-dir', 'out'];

describe('a disk that fills while many are mended', () => {
  it('leaves nothing torn at any of ten points, says so, and the run goes on', async () => {
    const whole = tempFolder(cast());
    const { calls, code } = await runWith(() => null, INTO, whole);
    const wanted = treeOf(join(whole, 'out'));
    expect([code, Object.keys(wanted)]).toEqual([
      0,
      ['a/heron.bin', 'a/heron.gltf', 'a/skin.png', 'b.glb'],
    ]);
    expect(calls).toBeGreaterThan(10);
    for (let point = 0; point < 10; point++) {
      const at = Math.floor((point * calls) / 10);
      const cwd = tempFolder(cast());
      const before = treeOf(join(cwd, 'cast'));
      // Somebody makes room soon after.
      const run = await runWith((call) => (call === at ? 'full' : null), INTO, cwd);
      const out = treeOf(join(cwd, 'out'));
      expect(treeOf(join(cwd, 'cast')), `${at}`).toEqual(before);
      for (const [name, bytes] of Object.entries(out))
        expect(bytes, `${at} ${name}`).toBe(wanted[name]);
      const [first, second] = [
        Object.keys(out).filter((name) => name.startsWith('a/')),
        'b.glb' in out,
      ];
      // Each of the two is there with all that it names, or not at all; and at least one of them is.
      expect([0, 3], `${at}`).toContain(first.length);
      expect(first.length === 3 || second, `${at}`).toBe(true);
      const isHit = first.length === 0 || !second;
      expect(run.code, `${at}`).toBe(isHit ? 2 : 0);
      if (isHit) expect(run.stdout, `${at}`).toContain('there is no space left on the device');
      expect(run.stdout, `${at}`).toMatch(/^2 assets: /m);
    }
  });

  it('in place leaves every file as it was, and no copies of it', async () => {
    const cwd = tempFolder({ 'cast/a.glb': flipped, 'cast/b.glb': flipped });
    const before = treeOf(cwd);
    const args = ['mend', 'cast', '--in-place'];
    const { code, stdout } = await runWith(() => 'full', args, cwd);
    expect([code, stdout]).toEqual([
      2,
      expect.stringMatching(/^2 assets: 2 not written, for a fault\.$/m),
    ]);
    expect(treeOf(cwd)).toEqual(before);
  });

  it('of the report alone does not stop the mend', async () => {
    const cwd = tempFolder(cast());
    let reports = 0;
    // The head of the report has room, and its first asset has not.
    const fault: Fault = (_, path) =>
      path.startsWith(`${cwd}/.`) && ++reports > 4 ? 'full' : null;
    const { code, stderr, stdout } = await runWith(fault, [...INTO, '--report', 'mend.json'], cwd);
    expect(reports).toBeGreaterThan(4);
    expect([code, stderr]).toEqual([
      2,
      'trysquare: mend.json cannot be written: there is no space left on the device\n',
    ]);
    expect(stdout).toContain('2 assets: 2 mended and written');
    expect(readdirSync(cwd).sort()).toEqual(['cast', 'out']);
  });
});

describe('a process that is killed while it mends', () => {
  it('in place leaves the old file or the new one, and what was there before is never lost', async () => {
    const count = await runWith(
      () => null,
      ['mend', 'heron.glb', '--in-place'],
      tempFolder({ 'heron.glb': flipped }),
    );
    expect(count.calls).toBeGreaterThan(5);
    for (let at = 0; at < count.calls; at++) {
      const cwd = tempFolder({ 'heron.glb': flipped });
      await runWith(
        (call) => (call >= at ? 'killed' : null),
        ['mend', 'heron.glb', '--in-place'],
        cwd,
      );
      const now = readFileSync(join(cwd, 'heron.glb'));
      const kept = existsSync(join(cwd, 'heron.glb.before-mend'))
        ? readFileSync(join(cwd, 'heron.glb.before-mend'))
        : null;
      expect((kept ?? now).equals(Buffer.from(flipped)), `${at}`).toBe(true);
      if (!now.equals(Buffer.from(flipped)))
        expect((await runCli(['check', 'heron.glb'], { cwd })).code, `${at}`).toBe(0);
    }
  });
});

describe('what goes or is in the way while many are mended', () => {
  it('a folder that goes is no reason to stop, and what was in it is told', async () => {
    const cwd = tempFolder({
      'cast/a.glb': flipped,
      'cast/old/b.glb': flipped,
      'cast/z.glb': flipped,
    });
    let isFirst = true;
    const { code, stdout } = await runCli(INTO, {
      cwd,
      onOutput: () => {
        if (isFirst) rmSync(join(cwd, 'cast/old'), { recursive: true });
        isFirst = false;
      },
    });
    expect([code, stdout]).toEqual([
      3,
      expect.stringContaining('cast/old/b.glb cannot be mended: there is no such file'),
    ]);
    expect(Object.keys(treeOf(join(cwd, 'out')))).toEqual(['a.glb', 'z.glb']);
  });

  it('the folder that is written to is made again where it goes', async () => {
    const cwd = tempFolder({ 'cast/a.glb': flipped, 'cast/b.glb': flipped });
    let isFirst = true;
    const { code } = await runCli(INTO, {
      cwd,
      onOutput: () => {
        if (isFirst) rmSync(join(cwd, 'out'), { recursive: true });
        isFirst = false;
      },
    });
    expect([code, Object.keys(treeOf(join(cwd, 'out')))]).toEqual([0, ['b.glb']]);
  });

  it('the folder of the run that goes ends it in one line', async () => {
    const cwd = tempFolder({ 'cast/a.glb': flipped, 'cast/b.glb': flipped });
    const { code, stderr } = await runCli(INTO, {
      cwd,
      onOutput: () => rmSync(cwd, { recursive: true, force: true }),
    });
    expect([code, stderr]).toEqual([
      2,
      `trysquare: the folder that this command runs in, ${cwd}, does not exist any more; run the command again in a folder that exists\n`,
    ]);
  });

  it('a file where a folder is needed, or a folder where a file is, stops that asset alone', async () => {
    const cwd = tempFolder({
      ...cast(),
      'cast/c.glb': flipped,
      'out/a': 'a file',
      'out/b.glb/x': '',
    });
    const { code, stdout } = await runCli(INTO, { cwd });
    expect(code).toBe(2);
    expect(stdout).toMatch(
      /^cast\/a\/heron\.gltf: .*; nothing was written: out\/a\S* cannot be (made|written): /m,
    );
    expect(stdout).toMatch(
      /^cast\/b\.glb: .*; nothing was written: out\/b\.glb is a folder; name a file in it\.$/m,
    );
    expect(Object.keys(treeOf(join(cwd, 'out')))).toEqual(['a', 'b.glb/x', 'c.glb']);
  });

  it('a folder that can only be read stops what goes there alone', async () => {
    const cwd = tempFolder({ ...cast(), 'out/a/other': 'of somebody else' });
    const fault: Fault = (_, path) => (path.startsWith(join(cwd, 'out/a')) ? 'read-only' : null);
    const { code, stdout } = await runWith(fault, INTO, cwd);
    expect([code, stdout]).toEqual([
      2,
      expect.stringMatching(
        /^cast\/a\/heron\.gltf: .*; nothing was written: out\/a\S* cannot be (made|written): there is no permission to write there\.$/m,
      ),
    ]);
    expect(Object.keys(treeOf(join(cwd, 'out')))).toEqual(['a/other', 'b.glb']);
  });

  it.skipIf(process.getuid?.() === 0)(
    'files that may not be written or read stop nobody else',
    async () => {
      const cwd = tempFolder({
        'cast/a.glb': flipped,
        'cast/b.glb': flipped,
        'cast/c.glb': flipped,
      });
      chmodSync(join(cwd, 'cast/a.glb'), 0o444);
      chmodSync(join(cwd, 'cast/b.glb'), 0o000);
      const { code, stdout } = await runCli(['mend', 'cast', '--in-place'], { cwd });
      expect(code).toBe(2);
      expect(stdout).toMatch(/^cast\/a\.glb was not mended: cast\/a\.glb cannot be written; /m);
      expect(stdout).toMatch(/^cast\/b\.glb \S.*there is no permission/m);
      expect(stdout).toMatch(/^cast\/c\.glb: .*; written to cast\/c\.glb\.$/m);
    },
  );

  it('a file that may not be replaced stops that asset alone', async () => {
    // As on a file system that can only be read: moving onto a read-only file is allowed elsewhere.
    const cwd = tempFolder({ 'cast/a.glb': flipped, 'cast/b.glb': flipped });
    mkdirSync(join(cwd, 'out'));
    writeFileSync(join(cwd, 'out/a.glb'), 'kept', { mode: 0o444 });
    const { code, stdout } = await runCli(INTO, { cwd });
    expect([code, stdout]).toEqual([
      2,
      expect.stringContaining('out/a.glb exists already; add --replace'),
    ]);
    expect(readFileSync(join(cwd, 'out/a.glb'), 'utf8')).toBe('kept');
    expect(Object.keys(treeOf(join(cwd, 'out')))).toEqual(['a.glb', 'b.glb']);
  });
});
