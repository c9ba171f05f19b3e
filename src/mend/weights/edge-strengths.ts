import type { MeshNet } from '../../measure/geometry/mesh-net.js';
import { cross, dot, length, subtract, vec3At } from '../../rig/vec3.js';

/** The places next to each of some places, and how strongly the edge to each ties the two. */
export type EdgeStrengths = ReadonlyMap<number, ReadonlyMap<number, number>>;

/** Weaker, an edge would part what it joins; stronger, it would let nothing else count. */
const [LEAST, MOST] = [1e-6, 1e4];

/**
 * Strength of the mesh edges at some places: the sum of the cotangents of the angles across from the edge
 * (the Laplacian of linear finite elements: U. Pinkall, K. Polthier 1993, "Computing discrete minimal
 * surfaces and their conjugates"; from memory). What is filled in then hangs on the shape alone, not on how
 * finely or in which direction a surface is cut, and along a flat strip it is exactly linear; equal
 * strengths would pull it towards where the cuts are dense. Across from two blunt angles the sum is
 * negative, which would make weights below 0: such an edge gets the least strength instead.
 *
 * @param places As `net.places` names them.
 */
export function edgeStrengths(
  net: Pick<MeshNet, 'positions' | 'corners' | 'first' | 'triangles'>,
  places: Iterable<number>,
): EdgeStrengths {
  const { positions, corners, first, triangles } = net;
  const found = new Map<number, Map<number, number>>();
  for (const place of places) {
    const edges = new Map<number, number>();
    for (let k = first[place] ?? 0; k < (first[place + 1] ?? 0); k++) {
      const at = 3 * (triangles[k] ?? 0);
      const [a, b] = [at, at + 1, at + 2].flatMap((corner) => {
        const other = corners[corner] ?? place;
        return other === place ? [] : [other];
      });
      // Two corners at one place make a line, which has no angle and still joins its ends.
      for (const [to, across] of [
        [a, b],
        [b, a],
      ]) {
        if (to === undefined) continue;
        const more = across === undefined ? 0 : cotangent(positions, across, place, to);
        edges.set(to, (edges.get(to) ?? 0) + more);
      }
    }
    for (const [to, strength] of edges) edges.set(to, Math.min(MOST, Math.max(LEAST, strength)));
    found.set(place, edges);
  }
  return found;
}

/** Cotangent of the angle at one place between two others; 0 where there is none. */
function cotangent(positions: Float32Array, at: number, to: number, other: number): number {
  const corner = vec3At(positions, at);
  const [u, v] = [
    subtract(vec3At(positions, to), corner),
    subtract(vec3At(positions, other), corner),
  ];
  const value = dot(u, v) / length(cross(u, v));
  return Number.isFinite(value) ? value : 0;
}
