// Source for what is refused: glTF 2.0, 3.6.2.2 Accessor Data Types: values of NaN, +Infinity and
// -Infinity MUST NOT be present.
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { AssetError } from '../../src/asset/errors.js';
import { rigOf } from '../support/facts-of.js';

type Numbers = 'input' | 'output';

/** The mule with one number put over the second key of one channel of its first clip. */
function withKey(path: string, numbers: Numbers, value: number): { bytes: Uint8Array; at: string } {
  const bytes = buildGlb('mule');
  const data = new DataView(bytes.buffer, bytes.byteOffset);
  const jsonLength = data.getUint32(12, true);
  const json = JSON.parse(new TextDecoder().decode(bytes.subarray(20, 20 + jsonLength)));
  const [animation] = json.animations;
  const channel = animation.channels.find((item: { target: { path: string } }) => {
    return item.target.path === path;
  });
  const accessor = animation.samplers[channel.sampler][numbers];
  const { bufferView, byteOffset = 0 } = json.accessors[accessor];
  const start = 28 + jsonLength + (json.bufferViews[bufferView].byteOffset ?? 0) + byteOffset;
  const size = numbers === 'input' ? 1 : path === 'rotation' ? 4 : 3;
  data.setFloat32(start + 4 * size, value, true);
  return { bytes, at: `/accessors/${accessor}, key 1` };
}

describe('a key of a clip', () => {
  test.each([
    ['rotation', 'output', Number.NaN, 'the rotation of key 1 of a clip is NaN'],
    ['rotation', 'output', -Infinity, 'the rotation of key 1 of a clip is -Infinity'],
    ['rotation', 'input', Infinity, 'the time of key 1 of a clip is Infinity'],
    [
      'translation',
      'output',
      2 ** 120,
      'the translation of key 1 of a clip is larger than can be measured',
    ],
  ] as const)('whose %s %s is %s makes the asset unreadable', async (path, kind, value, told) => {
    const { bytes, at } = withKey(path, kind, value);
    const reading = rigOf(bytes);
    await expect(reading).rejects.toThrow(AssetError);
    await expect(reading).rejects.toMatchObject({ reason: told, where: at });
  });

  test('that is large, but not past any measure, is read', async () => {
    const { bytes } = withKey('translation', 'output', 2 ** 100);
    const rig = await rigOf(bytes);
    const [channel] = rig.clips.flatMap(({ channels }) =>
      channels.filter(({ path }) => path === 'translation'),
    );
    expect(channel?.values[3]).toBe(2 ** 100);
  });
});
