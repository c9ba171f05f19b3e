import { appendFileSync, copyFileSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { contentKey, jsonText } from '../../src/batch/content-key.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

function folderWith(container: 'glb' | 'gltf-embedded' | 'gltf-external'): {
  cwd: string;
  main: string;
} {
  const built = build('heron', { container });
  const files = Object.fromEntries(built.files);
  return { cwd: tempFolder(files), main: built.main };
}

it('the key is the content: a copy has the same, one bit more another', async () => {
  const { cwd, main } = folderWith('glb');
  const path = join(cwd, main);
  const key = await contentKey(path);
  copyFileSync(path, join(cwd, 'copy.glb'));
  const copy = await contentKey(join(cwd, 'copy.glb'));
  expect([copy?.file, copy?.all]).toEqual([key?.file, key?.all]);
  appendFileSync(path, new Uint8Array([0]));
  expect((await contentKey(path))?.all).not.toBe(key?.all);
  expect(key?.all).toMatch(/^[0-9a-f]{64}$/);
});

it('a buffer in a file of its own is part of the key, though not of the file', async () => {
  const { cwd, main } = folderWith('gltf-external');
  const before = await contentKey(join(cwd, main));
  const [bin = ''] = [...build('heron', { container: 'gltf-external' }).files.keys()].filter(
    (name) => name.endsWith('.bin'),
  );
  const bytes = readFileSync(join(cwd, bin));
  bytes[bytes.length - 1] = (bytes[bytes.length - 1] ?? 0) ^ 1;
  writeFileSync(join(cwd, bin), bytes);
  const after = await contentKey(join(cwd, main));
  expect(after?.file).toBe(before?.file);
  expect(after?.all).not.toBe(before?.all);
  rmSync(join(cwd, bin));
  expect(await contentKey(join(cwd, main))).toBeNull();
});

it('a key written with an escape still leads to the buffer', async () => {
  const { cwd, main } = folderWith('gltf-external');
  const path = join(cwd, main);
  const plain = await contentKey(path);
  writeFileSync(path, readFileSync(path, 'utf8').replaceAll('"uri"', '"\\u0075ri"'));
  const [bin = ''] = [...build('heron', { container: 'gltf-external' }).files.keys()].filter(
    (name) => name.endsWith('.bin'),
  );
  const escaped = await contentKey(path);
  writeFileSync(join(cwd, bin), readFileSync(join(cwd, bin)).fill(7));
  expect(plain).not.toBeNull();
  expect((await contentKey(path))?.all).not.toBe(escaped?.all);
});

it('what is no asset has no key and no text', async () => {
  const cwd = tempFolder({ 'a.gltf': 'no json', 'b.glb': 'glTF' });
  for (const name of ['a.gltf', 'b.glb', 'missing.glb']) {
    expect(await contentKey(join(cwd, name))).toBeNull();
    expect(await jsonText(join(cwd, name))).toBeNull();
  }
});

it('the text of a .gltf is what is in it', async () => {
  const { cwd, main } = folderWith('gltf-embedded');
  expect(await jsonText(join(cwd, main))).toBe(readFileSync(join(cwd, main), 'utf8'));
});

it('what refers to a buffer by a broken address has none, and is told for that by a check', async () => {
  const json = {
    asset: { version: '2.0' },
    buffers: [{ uri: '%zz.bin', byteLength: 64 }],
    nodes: [{}],
    skins: [{ joints: [0], inverseBindMatrices: 0 }],
    bufferViews: [{ buffer: 0, byteLength: 64 }],
    accessors: [{ bufferView: 0, componentType: 5126, count: 1, type: 'MAT4' }],
  };
  const cwd = tempFolder({ 'heron.gltf': JSON.stringify(json) });
  expect(await contentKey(join(cwd, 'heron.gltf'))).toBeNull();
  const { code, stdout } = await runCli(['check', 'heron.gltf', '-f', 'json', '--cache', 'k'], {
    cwd,
  });
  expect([code, stdout]).toEqual([3, expect.stringContaining('has a broken percent escape')]);
});
