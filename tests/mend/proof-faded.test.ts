import { expect, it } from 'vitest';
import type { PartLook } from '../../src/mend/proof/looks.js';
import { shapeOf } from '../../src/mend/proof/proof-shape.js';
import { compareSingles } from '../../src/mend/proof/proof-singles.js';
import { compareVertices } from '../../src/mend/proof/proof-vertices.js';
import type { SkinnedPart } from '../../src/rig/types.js';

const part: SkinnedPart = {
  ...{ node: 0, mesh: 0, primitive: 0, label: 'mask', sharesVertices: false, skin: 0 },
  ...{ vertexCount: 1, influences: 1, triangles: null, weightSteps: 0 },
  ...{ positions: Float32Array.of(0, 0, 0), slots: Uint8Array.of(0), weights: Float32Array.of(1) },
};
const matrices = Float64Array.of(1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1);

/** A normal along +Z, and a target that adds to it. */
function look(...adds: readonly number[]): PartLook {
  const target = { positions: null, normals: Float32Array.from(adds), tangents: null };
  return {
    ...{ normals: Float32Array.of(0, 0, 1), tangents: null, targets: [target] },
    weights: Float64Array.of(0),
  };
}

/** How far the normal is turned from one to the other with the target at full weight, and with it alone. */
function turns(before: PartLook, after: PartLook): number[] {
  const posed = (own: PartLook) => ({ part, matrices, shape: shapeOf(part, own, [1]) });
  const alone = (own: PartLook) => ({ part, matrices, look: own });
  const open = { places: [], directions: [0] };
  return [
    compareVertices(posed(before), posed(after), null).turn,
    compareSingles(alone(before), alone(after), open).turn,
  ];
}

it.each([
  // Of the two lengths, which come to 2, a hundredth is 0.02.
  ['gone', [0, 0, -1], [1e-7, 0, -1], 0],
  ['as good as gone', [0.01, 0, -1], [0, 0.01, -1], 0],
  ['little, but there', [0.03, 0, -1], [0, 0.03, -1], 90],
  ['gone before, and there afterwards', [0, 0, -1], [0.03, 0, -1], Infinity],
  ['all there', [0, 0, 0], [0, 1, 0], 45],
])('what a target leaves of a normal is %s: %j and %j are %d° apart', (_, one, other, degrees) => {
  for (const turn of turns(look(...one), look(...other))) expect(turn).toBeCloseTo(degrees, 6);
});
