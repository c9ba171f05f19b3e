import { describe, expect, test } from 'vitest';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { cardSkin, chainJoints, tinyGlb, tinyJson } from '../support/tiny-rig.js';

const places = [
  [0, 0, 0],
  [0.2, 0, 0],
] as const;
const joints = chainJoints(places);
const whole = tinyGlb(joints, cardSkin(places));

const verdictOf = async (bytes: Uint8Array): Promise<string> =>
  (await checkAssetBytes(bytes, { settings: defaultSettings(rules) })).verdict;

/** Lengths from 0 up at which the asset, cut off there, is anything but unreadable. */
async function readableCuts(length: number, cut: (at: number) => Uint8Array): Promise<number[]> {
  const verdicts = await Promise.all(
    Array.from({ length }, async (_, at) => [at, await verdictOf(cut(at))] as const),
  );
  return verdicts.filter(([, verdict]) => verdict !== 'unreadable').map(([at]) => at);
}

test('whole, the small rig is read', async () => {
  expect(await verdictOf(whole)).toBe('sound');
});

describe('cut off after any byte', () => {
  test('a GLB is unreadable', async () => {
    expect(await readableCuts(whole.length, (at) => whole.slice(0, at))).toEqual([]);
  });

  test('a GLB is unreadable even when its header tells the shorter length', async () => {
    const cut = (at: number): Uint8Array => {
      const bytes = whole.slice(0, at);
      if (at >= 12) new DataView(bytes.buffer).setUint32(8, at, true);
      return bytes;
    };
    expect(await readableCuts(whole.length, cut)).toEqual([]);
  });

  test('a .gltf with its buffer embedded is unreadable', async () => {
    const { json, buffer } = tinyJson(joints, cardSkin(places));
    const uri = `data:application/octet-stream;base64,${Buffer.from(buffer).toString('base64')}`;
    json.buffers = [{ byteLength: buffer.length, uri }];
    const text = new TextEncoder().encode(JSON.stringify(json));
    expect(await verdictOf(text)).toBe('sound');
    expect(await readableCuts(text.length, (at) => text.slice(0, at))).toEqual([]);
  });
});

test('a GLB with bytes after its announced end is unreadable', async () => {
  const longer = new Uint8Array(whole.length + 4);
  longer.set(whole);
  expect(await verdictOf(longer)).toBe('unreadable');
});
