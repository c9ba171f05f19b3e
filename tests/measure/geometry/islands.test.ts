import { describe, expect, test } from 'vitest';
import type { GltfJson } from '../../../fixtures/kit/gltf-json.js';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { islandsOf, isWholePiece } from '../../../src/measure/geometry/islands.js';
import { cutApart } from '../../support/blend-tube.js';
import { joinSkins } from '../../support/cards.js';
import { factsOf } from '../../support/facts-of.js';
import { chainJoints, type TinySkin, tinyGlb } from '../../support/tiny-rig.js';

/** Two joints: the first moves what the second does not. */
const rod = chainJoints([
  [0, 0, 0],
  [0, 1, 0],
]);

/**
 * A ribbon of `columns` pairs of vertices along X, from `start`. Vertices 2k and 2k + 1 stand in column
 * k; the second joint moves them by `share(column)`.
 */
function ribbon(columns: number, share: (column: number) => number, start = 0): TinySkin {
  const all = Array.from({ length: columns }, (_, column) => column);
  return {
    positions: all.flatMap((column): Vec3[] => [
      [start + column, 0, 0],
      [start + column, 1, 0],
    ]),
    triangles: all.slice(1).flatMap((column): [number, number, number][] => {
      const [a, b, c, d] = [2 * column - 2, 2 * column - 1, 2 * column, 2 * column + 1];
      return [
        [a, b, c],
        [c, b, d],
      ];
    }),
    influences: all.flatMap((column): Influence[][] => {
      const weight = share(column);
      const list: Influence[] = [
        [0, 1 - weight],
        [1, weight],
      ];
      return [list, list];
    }),
  };
}

const inside = (from: number, to: number) => (column: number) =>
  column >= from && column <= to ? 1 : 0;

async function vertices(skin: TinySkin, edit?: (json: GltfJson) => void) {
  const islands = islandsOf(await factsOf(tinyGlb(rod, skin, edit)), 1);
  return islands.map((island) => [...island.vertices]);
}

describe('islands of the second joint', () => {
  test('are parted where it moves nothing, the largest first', async () => {
    const share = (column: number): number => (column < 2 || column > 3 ? 1 : 0);
    expect(await vertices(ribbon(7, share))).toEqual([
      [8, 9, 10, 11, 12, 13],
      [0, 1, 2, 3],
    ]);
  });

  test.each([
    [0.0101, [[0, 1, 2, 3, 4, 5]]],
    [
      0.0099,
      [
        [0, 1],
        [4, 5],
      ],
    ],
  ])('are joined by a weight of %d as it is over or under 1 %%', async (faint, expected) => {
    expect(await vertices(ribbon(3, (column) => (column === 1 ? faint : 1)))).toEqual(expected);
  });

  test('are joined over a seam, and the vertices on both of its sides are listed', async () => {
    const seam = joinSkins([ribbon(3, inside(1, 2)), ribbon(3, inside(0, 1), 2)]);
    expect(await vertices(seam)).toEqual([[2, 3, 4, 5, 6, 7, 8, 9]]);
  });

  test('are parted by a gap that is no seam', async () => {
    const gap = joinSkins([ribbon(3, inside(1, 2)), ribbon(3, inside(0, 1), 2.001)]);
    expect(await vertices(gap)).toEqual([
      [2, 3, 4, 5],
      [6, 7, 8, 9],
    ]);
  });

  test('are ordered by places: hard edges, each vertex many times over, make none larger', async () => {
    const cut = cutApart(ribbon(2, () => 1));
    const facts = await factsOf(tinyGlb(rod, joinSkins([cut, ribbon(3, () => 1, 10)])));
    expect(islandsOf(facts, 1)).toEqual([
      { vertices: [6, 7, 8, 9, 10, 11], places: 6 },
      { vertices: [0, 1, 2, 3, 4, 5], places: 4 },
    ]);
  });

  test('go on from primitive to primitive, whose triangles differ and whose vertices are shared', async () => {
    const whole = ribbon(5, inside(1, 4));
    const listed = [2, 3, 4, 5, 6, 7, 8, 9];
    // Both primitives have all vertices; each alone would leave half of them without an edge.
    const both = [...listed, ...listed.map((vertex) => vertex + 10)];
    expect(await vertices(whole, splitTriangles)).toEqual([both]);
  });

  test('are none for a joint that moves nothing', async () => {
    expect(await vertices(ribbon(3, () => 0))).toEqual([]);
  });

  test('leave out vertices of no triangle', async () => {
    const skin = ribbon(4, () => 1);
    expect(await vertices({ ...skin, triangles: skin.triangles.slice(0, 2) })).toEqual([
      [0, 1, 2, 3],
    ]);
    const points = (json: GltfJson): void => {
      for (const primitive of json.meshes?.[0]?.primitives ?? []) primitive.mode = 0;
    };
    expect(await vertices(skin, points)).toEqual([]);
  });
});

test.each([
  [inside(0, 3), true],
  [inside(0, 2), false],
])('an island is a whole piece only when it is all of it', async (share, expected) => {
  const facts = await factsOf(
    tinyGlb(rod, joinSkins([ribbon(4, share), ribbon(4, inside(9, 9), 20)])),
  );
  const [island] = islandsOf(facts, 1);
  if (island === undefined) throw new Error('no island');
  expect(isWholePiece(facts, island)).toBe(expected);
});

/** Makes two primitives of one: the first half of its triangles and the second. */
function splitTriangles(json: GltfJson): void {
  const primitive = json.meshes?.[0]?.primitives[0];
  const accessor = json.accessors[primitive?.indices ?? -1];
  const view = json.bufferViews[accessor?.bufferView ?? -1];
  if (primitive === undefined || accessor === undefined || view === undefined)
    throw new Error('no triangles');
  const half = accessor.count / 2;
  const bytes = view.byteLength / 2;
  json.bufferViews.push({ ...view, byteOffset: view.byteOffset + bytes, byteLength: bytes });
  view.byteLength = bytes;
  json.accessors.push({ ...accessor, count: half, bufferView: json.bufferViews.length - 1 });
  accessor.count = half;
  json.meshes?.[0]?.primitives.push({ ...primitive, indices: json.accessors.length - 1 });
}
