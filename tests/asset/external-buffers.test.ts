import { mkdirSync, mkdtempSync, realpathSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { rules } from '../../rules/index.js';
import { checkAsset, checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { cardSkin, chainJoints, tinyJson } from '../support/tiny-rig.js';

const places = [
  [0, 0, 0],
  [0.2, 0, 0],
] as const;
const { json, buffer } = tinyJson(chainJoints(places), cardSkin(places));
const settings = defaultSettings(rules);

/** The theatre with its stage in it; next to the stage lies what no asset of the stage may read. */
let theatre = '';
let stage = '';

beforeAll(() => {
  theatre = realpathSync(mkdtempSync(join(tmpdir(), 'theatre-')));
  stage = join(theatre, 'stage');
  mkdirSync(join(stage, 'wings'), { recursive: true });
  mkdirSync(join(theatre, 'stage door'));
  for (const inside of ['hide.bin', 'wings/hide.bin', 'a hide.bin', '..hide.bin', 'hide%.bin'])
    writeFileSync(join(stage, inside), buffer);
  for (const outside of ['hide.bin', 'stage door/hide.bin'])
    writeFileSync(join(theatre, outside), buffer);
  symlinkSync(join(theatre, 'hide.bin'), join(stage, 'curtain.bin'));
  symlinkSync(join(theatre, 'stage door'), join(stage, 'door'));
  symlinkSync(join(stage, 'wings', 'hide.bin'), join(stage, 'rope.bin'));
  symlinkSync('ring.bin', join(stage, 'ring.bin'));
});
afterAll(() => rmSync(theatre, { recursive: true }));

/** Checks an asset of the stage whose buffer lies at `uri`. */
async function verdictOf(uri: string): Promise<{ verdict: string; reason: string }> {
  const path = join(stage, 'puppet.gltf');
  writeFileSync(path, textOf(uri));
  const { verdict, unreadable } = await checkAsset(path, { settings });
  return { verdict, reason: unreadable?.reason ?? '' };
}

const textOf = (uri: string): string =>
  JSON.stringify({ ...json, buffers: [{ byteLength: buffer.length, uri }] });

describe('a buffer in the asset’s folder or below is read', () => {
  test.each([
    ['beside it', 'hide.bin'],
    ['below it', 'wings/hide.bin'],
    ['by a way that comes back', 'wings/../hide.bin'],
    ['named with a space, escaped', 'a%20hide.bin'],
    ['named with a space, as it is', 'a hide.bin'],
    ['whose name merely begins with two dots', '..hide.bin'],
    ['whose name holds an escaped per cent sign', 'hide%25.bin'],
    ['through a link that stays inside', 'rope.bin'],
  ])('%s', async (_title, uri) => {
    expect(await verdictOf(uri)).toEqual({ verdict: 'sound', reason: '' });
  });
});

describe('a buffer elsewhere is refused, though it is there', () => {
  test.each([
    ['above', () => '../hide.bin', /is outside the asset's folder/],
    ['above, after going down', () => 'wings/../../hide.bin', /is outside the asset's folder/],
    ['above, with escaped dots', () => '%2e%2e/hide.bin', /is outside the asset's folder/],
    [
      'above, with escaped dots and slash',
      () => '%2E%2E%2Fhide.bin',
      /is outside the asset's folder/,
    ],
    [
      'beside a folder of the same beginning',
      () => '../stage door/hide.bin',
      /is outside the asset's folder/,
    ],
    ['by its absolute path', () => join(theatre, 'hide.bin'), /absolute path/],
    ['inside, but by its absolute path', () => join(stage, 'hide.bin'), /absolute path/],
    ['by a file address', () => String(pathToFileURL(join(theatre, 'hide.bin'))), /absolute/],
    ['through a link to a file', () => 'curtain.bin', /symbolic link/],
    ['through a link to a folder', () => 'door/hide.bin', /symbolic link/],
    ['through links that run in a circle', () => 'ring.bin', /lead back to themselves/],
    ['over http', () => 'http://theatre.invalid/hide.bin', /network/],
    ['over https, in capitals', () => 'HTTPS://theatre.invalid/hide.bin', /network/],
    ['without a scheme', () => '//theatre.invalid/hide.bin', /network/],
    ['by a drive letter', () => 'C:\\hide.bin', /absolute path/],
    ['in a folder', () => 'wings', /it is a folder/],
    ['nowhere', () => 'lost.bin', /no such file/],
    ['with a broken escape', () => 'hide%.bin', /percent escape/],
    ['with a null byte in its name', () => 'hide.bin%00', /names no file/],
  ])('%s', async (_title, uri, expected) => {
    const { verdict, reason } = await verdictOf(uri());
    expect(verdict).toBe('unreadable');
    expect(reason).toMatch(expected);
  });
});

test('an asset without a folder reads no file, though one of that name lies in the working folder', async () => {
  const bytes = new TextEncoder().encode(textOf('package.json'));
  const { verdict, unreadable } = await checkAssetBytes(bytes, { settings });
  expect(verdict).toBe('unreadable');
  expect(unreadable?.reason).toContain('standard input has no folder');
});

test('a buffer shorter than it announces is refused', async () => {
  writeFileSync(join(stage, 'short.bin'), buffer.subarray(0, buffer.length - 1));
  const { verdict, reason } = await verdictOf('short.bin');
  expect(verdict).toBe('unreadable');
  expect(reason).toContain(`should have ${buffer.length} bytes, but it has ${buffer.length - 1}`);
});
