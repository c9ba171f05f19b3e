// Source: glTF 2.0, 3.7.3 Skins, by `skin-vertex.ts`; a direction is the way between two places that the
// same joints move.
import { expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { isUnseen, option, tryWeights } from '../../src/mend/weights/unseen-weights.js';
import type { Rig, SkinnedPart } from '../../src/rig/types.js';
import { angleBetween, subtract, type Vec3 } from '../../src/rig/vec3.js';
import { rigOf } from '../support/facts-of.js';
import { skinVertex } from '../support/skin-vertex.js';

/** Stored with a bent elbow, so that joints turn normals differently without a clip. */
async function bent(): Promise<{ rig: Rig; part: SkinnedPart; vertex: number }> {
  const whole = await rigOf(buildGlb('marionette', { faults: [faultNamed('bent-elbow')] }));
  const rig = { ...whole, clips: [] };
  const elbow = rig.joints.names.indexOf('forearm_L');
  for (const part of rig.parts)
    for (let vertex = 0; vertex < part.vertexCount; vertex++) {
      const own = influencesOf(part, vertex);
      const joints = own.map(({ slot }) => rig.skins[part.skin]?.jointOfSlot[slot]);
      if (own.length > 1 && joints.includes(elbow)) return { rig, part, vertex };
    }
  throw new Error('no vertex of the elbow is blended');
}

function influencesOf({ influences, slots, weights }: SkinnedPart, vertex: number) {
  return Array.from({ length: influences }, (_, k) => ({
    slot: slots[influences * vertex + k] ?? 0,
    weight: weights[influences * vertex + k] ?? 0,
  })).filter(({ weight }) => weight > 0);
}

/** Where a vertex and the tip of a normal on it stand, with other weights of the vertex. */
function skinned(
  rig: Rig,
  part: SkinnedPart,
  vertex: number,
  normal: Vec3 | null,
  weights: Float32Array,
): Vec3 {
  const positions = part.positions.slice();
  normal?.forEach((value, axis) => {
    positions[3 * vertex + axis] = (positions[3 * vertex + axis] ?? 0) + value;
  });
  const [x = 0, y = 0, z = 0] = skinVertex(rig, { ...part, positions, weights }, vertex);
  return [x, y, z];
}

test('a weight that is given up is judged by how far the vertex goes and its normal turns', async () => {
  const { rig, part, vertex } = await bent();
  const own = influencesOf(part, vertex);
  const kept = own.slice(0, 1).map(({ slot }) => ({ slot, weight: 1 }));
  const normal: Vec3 = [0.6, 0, 0.8];
  const normals = new Float32Array(3 * part.vertexCount);
  normals.set(normal, 3 * vertex);
  const choice = option(own, kept, 1);
  tryWeights({ rig, part }, [{ vertex, options: [choice] }], normals, 2);
  const weights = part.weights.slice();
  for (let k = 0; k < part.influences; k++) {
    const at = part.influences * vertex + k;
    weights[at] = part.slots[at] === kept[0]?.slot && (part.weights[at] ?? 0) > 0 ? 1 : 0;
  }
  const place = (list: Float32Array, tip: Vec3 | null): Vec3 =>
    skinned(rig, part, vertex, tip, list);
  const way = subtract(place(weights, null), place(part.weights, null));
  const [before, after] = [part.weights, weights].map((list) =>
    subtract(place(list, normal), place(list, null)),
  );
  expect(choice.moved).toBeCloseTo(Math.hypot(...way) / 2, 9);
  expect(choice.turned).toBeCloseTo(angleBetween(before ?? normal, after ?? normal), 4);
  expect(choice.turned).toBeGreaterThan(1);
  expect(isUnseen(choice)).toBe(false);
});

test('a normal that turns is seen even where the vertex stands still', async () => {
  const { part, vertex } = await bent();
  const own = influencesOf(part, vertex);
  const choice = option(own, own.slice(0, 1), 1);
  expect(isUnseen({ ...choice, moved: 1e-6, turned: 0 })).toBe(true);
  expect(isUnseen({ ...choice, moved: 1e-6, turned: 0.006 })).toBe(false);
  expect(isUnseen({ ...choice, moved: 6e-6, turned: 0 })).toBe(false);
});
