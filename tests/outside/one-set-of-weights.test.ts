// Source: glTF 2.0, 3.7.3.3 Skinned Mesh Attributes, asks of viewers one set of four influences a vertex
// and no more; three.js (npm `three`, `GLTFLoader`) reads that one. Whose weights no longer sum to 1
// there is moved by more joints than four.
import { expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { findingsOf } from '../support/findings-of.js';
import { loadInThree } from '../support/three-scene.js';

/** Far over what 16-bit weights round to, far under the smallest weight here. */
const LOST = 1e-3;

/** Vertices of the mesh that lost weight, with three.js's own scaling to a sum of 1 held off. */
async function shortInThree(bytes: Uint8Array): Promise<number[]> {
  const { meshes } = await loadInThree(bytes);
  return meshes.flatMap(({ object }) => {
    const weights = object.geometry.getAttribute('skinWeight');
    return Array.from({ length: weights.count }, (_, vertex) => vertex).filter((vertex) => {
      const sum = [0, 1, 2, 3].reduce((all, k) => all + weights.getComponent(vertex, k), 0);
      return sum < 1 - LOST;
    });
  });
}

test.each([
  [5, 3],
  [4, 0],
])(
  'with %i joints on a vertex, the %i that lose weight in three.js are told',
  async (amount, count) => {
    const bytes = buildGlb('mule', { faults: [{ fault: faultNamed('crowded-neck'), amount }] });
    const short = await shortInThree(bytes);
    expect(short).toHaveLength(count);
    const { findings } = await findingsOf(bytes, 'skin.budget');
    expect(findings.flatMap(({ vertices }) => vertices)).toEqual(short);
  },
);
