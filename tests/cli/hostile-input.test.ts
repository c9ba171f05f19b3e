import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb, toGltfJson } from '../../fixtures/build.js';
import { rules } from '../../rules/index.js';
import { ASSET_LIMITS } from '../../src/asset/limits.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { ONE_FILE_FORMATS } from '../support/one-file-formats.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const sound = buildGlb('heron');

/** A `.gltf` of nodes and one skin without a mesh. */
function rigOf(nodes: object[], joints: number[]): Uint8Array {
  const json = { asset: { version: '2.0' }, scenes: [{ nodes: [0] }], nodes, skins: [{ joints }] };
  return Buffer.from(JSON.stringify(json));
}

function check(bytes: Uint8Array): Promise<AssetReport> {
  return checkAssetBytes(bytes, { settings: defaultSettings(rules) });
}

describe('a path that cannot even be looked at', () => {
  it.each(['loop', 'heron.glb/x', 'x'.repeat(5000), 'pipe.glb'])(
    '%# is told in one line, and the others are checked',
    async (path) => {
      const cwd = tempFolder({ 'heron.glb': sound });
      symlinkSync('loop', join(cwd, 'loop'));
      execFileSync('mkfifo', [join(cwd, 'pipe.glb')]);
      const { code, stdout, stderr } = await runCli(['check', path, 'heron.glb'], { cwd });
      expect(code).toBe(3);
      expect(stdout).toContain('1 sound, 0 unsound, 1 unreadable');
      expect(stdout + stderr).not.toMatch(/\n\s+at /);
    },
  );
});

describe('an asset made to exhaust the machine', () => {
  it.each([
    ['indices without data', { componentType: 5125, count: 150_000_000, type: 'SCALAR' }],
    ['positions without data', { componentType: 5126, count: 30_000_000, type: 'VEC3' }],
  ])('by %s is refused', async (_, accessor) => {
    const json = toGltfJson('heron');
    const primitive = json.meshes?.[0]?.primitives[0];
    if (primitive === undefined) throw new Error('the heron has no mesh');
    const accessors = [...(json.accessors ?? []), accessor];
    Object.assign(primitive, { indices: accessors.length - 1, mode: 5 });
    const report = await check(Buffer.from(JSON.stringify({ ...json, accessors })));
    expect(report.unreadable?.reason).toContain('have no stored data');
  });

  it('by a buffer view of 2 GB that is not there is refused', async () => {
    const json = toGltfJson('heron');
    const view = { buffer: 1, byteLength: 2 ** 31 };
    const accessors = json.accessors?.map((item, at) =>
      at === 0 ? { ...item, bufferView: json.bufferViews?.length } : item,
    );
    const text = JSON.stringify({
      ...json,
      accessors,
      bufferViews: [...(json.bufferViews ?? []), view],
      buffers: [...(json.buffers ?? []), { byteLength: 3e9, uri: 'data:,x' }],
    });
    expect((await check(Buffer.from(text))).verdict).toBe('unreadable');
  });

  it.each([
    [
      'many flat children, each with a fault',
      rigOf(
        [
          { children: Array.from({ length: 8000 }, (_, at) => at + 1) },
          ...Array.from({ length: 8000 }, () => ({ scale: [-1, 2, 3] })),
        ],
        Array.from({ length: 8001 }, (_, at) => at),
      ),
    ],
    [
      'many joints below a long run of spacers',
      rigOf(
        [
          ...Array.from({ length: 3000 }, (_, at) => ({ children: [at + 1] })),
          { children: Array.from({ length: 3000 }, (_, at) => at + 3001) },
          ...Array.from({ length: 3000 }, () => ({})),
        ],
        [0, ...Array.from({ length: 3000 }, (_, at) => at + 3001)],
      ),
    ],
    [
      'names made to slow a pattern down, as long as names may be',
      rigOf(
        [
          { name: `joint${'_'.repeat(3000)}${'1'.repeat(3000)}x`, children: [1, 2] },
          { name: `l_${'1_'.repeat(ASSET_LIMITS.nameLetters / 2 - 2)}x` },
          { name: `${' '.repeat(ASSET_LIMITS.nameLetters - 1)}x` },
        ],
        [0, 1, 2],
      ),
    ],
  ])('by %s is checked all the same', async (_, bytes) => {
    const report = await check(bytes);
    expect(report.unreadable).toBeNull();
  });

  it.each(ONE_FILE_FORMATS)(
    'by a name that thousands of paths repeat takes no other from the report as %s',
    async (format) => {
      const below = Array.from({ length: 3000 }, (_, at) => ({ name: `string ${at}` }));
      const children = below.map((_, at) => at + 1);
      const joints = [0, ...children];
      const named = (letters: number): Uint8Array =>
        rigOf([{ name: 'n'.repeat(letters), children }, ...below], joints);
      const cwd = tempFolder({
        'a.gltf': named(200_000),
        'b.gltf': named(10_000),
        'heron.glb': sound,
      });
      const { code, stdout } = await runCli(['check', '.', '-f', format], { cwd });
      expect(code).toBe(3);
      expect(stdout).toContain('200000 letters');
      expect(stdout).toContain(String(ASSET_LIMITS.reportLetters));
      expect(stdout).toContain('heron');
      expect(stdout.length).toBeLessThan(500_000);
    },
  );

  it('by a rig for each of thousands of nodes is refused', async () => {
    const nodes = Array.from({ length: 5000 }, () => ({}));
    const skins = nodes.map((_, at) => ({ joints: [at] }));
    const json = { asset: { version: '2.0' }, nodes, skins };
    expect((await check(Buffer.from(JSON.stringify(json)))).unreadable?.reason).toContain(
      'too many to lay out',
    );
  });

  it('by scales that leave no number is refused with the node', async () => {
    const report = await check(
      rigOf([{ scale: [1e30, 1e30, 1e30], children: [1] }, { scale: [1e30, 1e30, 1e30] }], [0, 1]),
    );
    expect(report.unreadable?.where).toMatch(/^\/nodes\/\d$/);
  });
});

it('a megabyte of text in a file gives a line that can be read', async () => {
  const json = { asset: { version: '2.0' }, extensionsRequired: ['x'.repeat(1_000_000)] };
  expect((await check(Buffer.from(JSON.stringify(json)))).unreadable?.reason.length).toBeLessThan(
    300,
  );
});

it('percent escapes of a data URI stand for bytes', async () => {
  const json = toGltfJson('heron');
  const uri = json.buffers?.[0]?.uri ?? '';
  const bytes = Buffer.from(uri.slice(uri.indexOf(',') + 1), 'base64');
  const escaped = `data:application/octet-stream,${[...bytes].map((byte) => `%${byte.toString(16).padStart(2, '0')}`).join('')}`;
  const text = JSON.stringify({ ...json, buffers: [{ ...json.buffers?.[0], uri: escaped }] });
  expect((await check(Buffer.from(text))).verdict).toBe('sound');
});

describe('an --out made to destroy', () => {
  it('an asset through a linked folder is refused', async () => {
    const cwd = tempFolder({ 'heron.glb': sound });
    symlinkSync('.', join(cwd, 'again'));
    const { code } = await runCli(['check', 'heron.glb', '--out', 'again/heron.glb', '--replace'], {
      cwd,
    });
    expect(code).toBe(2);
    expect(readFileSync(join(cwd, 'heron.glb')).equals(Buffer.from(sound))).toBe(true);
  });

  it.each(['link', 'folder', 'folder/', 'heron.glb/x', 'y'.repeat(300)])(
    '%# is refused in one line',
    async (out) => {
      const cwd = tempFolder({ 'heron.glb': sound });
      symlinkSync('nowhere', join(cwd, 'link'));
      mkdirSync(join(cwd, 'folder'));
      const { code, stderr } = await runCli(['check', 'heron.glb', '--out', out, '--replace'], {
        cwd,
      });
      expect([code, stderr.trim().split('\n').length]).toEqual([2, 1]);
      expect(stderr).not.toContain('fault of trysquare itself');
    },
  );
});

describe('a hostile standard', () => {
  it.each([
    ['control characters', '{ "\u001b[31mfoo\u202e": 1 }'],
    ['deep nesting', '['.repeat(100_000)],
    [
      'a long value',
      `{ "limits": { "axis.aim": { "warn": ${JSON.stringify(`1${' '.repeat(2000)}x\ny`)} } } }`,
    ],
  ])('with %s is told in one line that a terminal can show', async (_, text) => {
    const cwd = tempFolder({ 'heron.glb': sound, 'house.json': text });
    const { code, stderr } = await runCli(['check', 'heron.glb', '-s', 'house.json'], { cwd });
    expect([code, stderr.trim().split('\n').length]).toEqual([2, 1]);
    expect(stderr).not.toMatch(/[\u001b\u202e]/);
  });

  it('that is a folder is told to be one', async () => {
    const cwd = tempFolder({ 'heron.glb': sound });
    mkdirSync(join(cwd, 'trysquare.json'));
    expect((await runCli(['check', 'heron.glb'], { cwd })).stderr).toContain('it is a folder');
  });
});
