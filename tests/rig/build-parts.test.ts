import { describe, expect, test } from 'vitest';
import { glb } from '../../fixtures/kit/containers.js';
import { AssetError } from '../../src/asset/errors.js';
import { rigOf } from '../support/facts-of.js';
import { cardSkin, chainJoints, tinyJson } from '../support/tiny-rig.js';

const places = [
  [0, 0, 0],
  [0.2, 0, 0],
] as const;

/** The small rig with one number put over the second coordinate of its second vertex. */
function withCoordinate(value: number): Uint8Array {
  const { json, buffer } = tinyJson(chainJoints(places), cardSkin(places));
  const accessor = json.accessors[json.meshes?.[0]?.primitives[0]?.attributes.POSITION ?? -1];
  const view = json.bufferViews[accessor?.bufferView ?? -1];
  if (view === undefined) throw new Error('the small rig has positions');
  const data = new DataView(buffer.buffer, buffer.byteOffset);
  data.setFloat32(view.byteOffset + 4 * 4, value, true);
  return glb(JSON.stringify(json), buffer);
}

describe('a vertex', () => {
  test.each([
    [2 ** 126, 'the position of vertex 1 is too far out to be measured'],
    [-(2 ** 110), 'the position of vertex 1 is too far out to be measured'],
    [Number.NaN, 'the position of vertex 1 is NaN'],
    [-Infinity, 'the position of vertex 1 is -Infinity'],
  ])(
    'at %s makes the asset unreadable, since nothing can be measured to it',
    async (value, told) => {
      const reading = rigOf(withCoordinate(value));
      await expect(reading).rejects.toThrow(AssetError);
      await expect(reading).rejects.toThrow(told);
    },
  );

  test('far away, but not past any measure, is read', async () => {
    const rig = await rigOf(withCoordinate(2 ** 100));
    expect(rig.parts[0]?.positions[4]).toBe(2 ** 100);
  });
});
