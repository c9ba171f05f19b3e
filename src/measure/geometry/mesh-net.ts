import { type Facts, fact } from '../facts.js';
import { bindRow } from './bind-mesh.js';
import { rowsOf } from './rows.js';
import type { JoinedSurface } from './surface.js';
import { weld } from './weld.js';

/** All parts of a rig as one net of places and triangles, to walk over. Bind pose, world space. */
export interface MeshNet extends Omit<JoinedSurface, 'triangles'> {
  /** Place of each vertex: the first one there. Seams, and the borders between primitives, meet. */
  readonly places: Int32Array;
  /** Place of each corner, three a triangle. */
  readonly corners: Int32Array;
  /** Where the triangles of a place begin in `triangles`, and one more for the end. */
  readonly first: Int32Array;
  /** Triangles that meet at each place, one place after the other. */
  readonly triangles: Int32Array;
}

/** Parts join where vertices meet: primitives split by material are one surface again. */
export const meshNet = fact((facts): MeshNet => {
  const { positions, triangles, offsets } = bindRow(facts);
  const places = weld(positions);
  const corners = new Int32Array(triangles.length);
  for (let i = 0; i < corners.length; i++) corners[i] = places[triangles[i] ?? 0] ?? 0;
  const { first, order } = rowsOf(corners, places.length);
  for (let k = 0; k < order.length; k++) order[k] = Math.floor((order[k] ?? 0) / 3);
  return { positions, offsets, places, corners, first, triangles: order };
});

/** The part of a vertex numbered over all parts, and its number there. */
export function whereIs(facts: Facts, vertex: number): { part: number; vertex: number } {
  const { offsets } = meshNet(facts);
  // Halved: it is asked for many vertices, and a rig can have thousands of parts.
  let [part, end] = [-1, offsets.length];
  while (end - part > 1) {
    const middle = (part + end) >> 1;
    if ((offsets[middle] ?? 0) <= vertex) part = middle;
    else end = middle;
  }
  return { part, vertex: vertex - (offsets[part] ?? 0) };
}
