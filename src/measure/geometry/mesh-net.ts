import { type Facts, fact } from '../facts.js';
import { bindMesh } from './bind-mesh.js';
import { weld } from './weld.js';

/** The first vertex, as numbered over all parts, of those that stand at one place. */
export type Place = number;

/** All parts of a rig as one net of places and triangles, to walk over. Bind pose, world space. */
export interface MeshNet {
  /** x, y, z a vertex; parts one after the other. */
  readonly positions: Float32Array;
  /** Number of each part's first vertex. */
  readonly offsets: readonly number[];
  /** Place of each vertex: seams, and the borders between primitives, meet. */
  readonly places: Int32Array;
  /** Place of each corner, three a triangle. */
  readonly corners: Int32Array;
  /** Where the triangles of a place begin in `triangles`, and one more for the end. */
  readonly first: Int32Array;
  /** Triangles that meet at each place, one place after the other. */
  readonly triangles: Int32Array;
}

/**
 * Joins the parts where their vertices stand at the same place. Primitives that share their vertices
 * and split them by material are one surface again.
 */
export const meshNet = fact((facts): MeshNet => {
  const { parts } = facts.rig;
  const offsets: number[] = [];
  let [vertices, ends] = [0, 0];
  for (const { vertexCount, triangles } of parts) {
    offsets.push(vertices);
    vertices += vertexCount;
    ends += triangles?.length ?? 0;
  }
  const positions = new Float32Array(3 * vertices);
  bindMesh(facts).positions.forEach((own, part) => {
    positions.set(own, 3 * (offsets[part] ?? 0));
  });
  const places = weld(positions);
  const corners = new Int32Array(ends);
  let at = 0;
  parts.forEach(({ triangles }, part) => {
    for (const vertex of triangles ?? [])
      corners[at++] = places[(offsets[part] ?? 0) + vertex] ?? 0;
  });
  return { positions, offsets, places, corners, ...trianglesByPlace(corners, vertices) };
});

function trianglesByPlace(
  corners: Int32Array,
  count: number,
): Pick<MeshNet, 'first' | 'triangles'> {
  const first = new Int32Array(count + 1);
  for (const place of corners) first[place + 1] = (first[place + 1] ?? 0) + 1;
  for (let place = 0; place < count; place++)
    first[place + 1] = (first[place + 1] ?? 0) + (first[place] ?? 0);
  const triangles = new Int32Array(corners.length);
  const free = first.slice();
  for (let corner = 0; corner < corners.length; corner++) {
    const place = corners[corner] ?? 0;
    const at = free[place] ?? 0;
    triangles[at] = Math.floor(corner / 3);
    free[place] = at + 1;
  }
  return { first, triangles };
}

/** The part of a vertex numbered over all parts, and its number there. */
export function whereIs(facts: Facts, vertex: number): { part: number; vertex: number } {
  const { offsets } = meshNet(facts);
  const part = offsets.findLastIndex((offset) => offset <= vertex);
  return { part, vertex: vertex - (offsets[part] ?? 0) };
}
