import { describe, expect, test } from 'vitest';
import { glb } from '../../../fixtures/kit/containers.js';
import { findingsOf } from '../../support/findings-of.js';
import { cardSkin, chainJoints, tinyJson } from '../../support/tiny-rig.js';

const places = [
  [0, 0, 0],
  [0.2, 0, 0],
] as const;

/** The small rig with the first weight of a vertex put over, for each of some vertices. */
function withWeights(weights: readonly (readonly [vertex: number, weight: number])[]): Uint8Array {
  const { json, buffer } = tinyJson(chainJoints(places), cardSkin(places));
  const accessor = json.accessors[json.meshes?.[0]?.primitives[0]?.attributes.WEIGHTS_0 ?? -1];
  const view = json.bufferViews[accessor?.bufferView ?? -1];
  if (view === undefined) throw new Error('the small rig has weights');
  const data = new DataView(buffer.buffer, buffer.byteOffset);
  for (const [vertex, weight] of weights)
    data.setFloat32(view.byteOffset + 16 * vertex, weight, true);
  return glb(JSON.stringify(json), buffer);
}

describe('a sum of weights without an end', () => {
  test.each([Infinity, -Infinity, Number.NaN])('(%s) is told by skin.repeat alone', async (odd) => {
    const bytes = withWeights([[1, odd]]);
    expect((await findingsOf(bytes, 'skin.sum')).findings).toEqual([]);
    const { findings } = await findingsOf(bytes, 'skin.repeat');
    expect(findings.map(({ vertices }) => vertices)).toEqual([[1]]);
  });

  test('does not hide a sum that is merely off, nor is told as the worst', async () => {
    const { findings } = await findingsOf(
      withWeights([
        [0, 1.5],
        [1, Infinity],
      ]),
      'skin.sum',
    );
    expect(findings.map(({ level, vertices, measured }) => [level, vertices, measured])).toEqual([
      ['error', [0], 0.5],
    ]);
  });
});
