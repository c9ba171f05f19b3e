import { cross, perpendicular, type Vec3 } from '../../rig/vec3.js';
import type { Surface } from './surface.js';

/** A plane and the frame (u, v) in it: its origin, normal, u and v, three numbers each. */
export type Plane = Float64Array;

export function planeAt(origin: Vec3, normal: Vec3): Plane {
  const u = perpendicular(normal);
  return Float64Array.of(...origin, ...normal, ...u, ...cross(normal, u));
}

/** The place at (u, v) of a plane. */
export function onPlane(plane: Plane, u: number, v: number): Vec3 {
  const along = (axis: number): number =>
    (plane[axis] ?? 0) + u * (plane[6 + axis] ?? 0) + v * (plane[9 + axis] ?? 0);
  return [along(0), along(1), along(2)];
}

/** Where a plane cuts triangles: directed pieces, the front of the surface to one hand of them all. */
export class Cuts {
  /** Pieces so far. */
  count = 0;
  /** u and v of both ends of each piece; grows, so that there is room past the last. */
  ends = new Float64Array(4 * ROOM);
  /** The triangle of each piece, with room as well. */
  triangles = new Uint32Array(ROOM);

  /** Makes room for `more` pieces. */
  reserve(more: number): void {
    if (this.count + more <= this.triangles.length) return;
    const room = 2 * (this.count + more);
    const { ends, triangles } = this;
    this.ends = new Float64Array(4 * room);
    this.ends.set(ends);
    this.triangles = new Uint32Array(room);
    this.triangles.set(triangles);
  }
}

/** Pieces there is room for from the start. */
const ROOM = 256;

/** Cuts triangles `order[first]` to `order[last - 1]`. Corners on the plane count as before it. */
export function cutTriangles(
  surface: Surface,
  order: Int32Array,
  first: number,
  last: number,
  plane: Plane,
  cuts: Cuts,
): void {
  const { positions: p, triangles } = surface;
  const ox = plane[0] ?? 0;
  const oy = plane[1] ?? 0;
  const oz = plane[2] ?? 0;
  const nx = plane[3] ?? 0;
  const ny = plane[4] ?? 0;
  const nz = plane[5] ?? 0;
  const begin = cuts.count;
  cuts.reserve(last - first);
  let count = begin;
  // Cut are the triangles that have corners behind the plane and before it.
  for (let i = first; i < last; i++) {
    const triangle = order[i] ?? 0;
    const a = 3 * (triangles[3 * triangle] ?? 0);
    const b = 3 * (triangles[3 * triangle + 1] ?? 0);
    const c = 3 * (triangles[3 * triangle + 2] ?? 0);
    const da = nx * ((p[a] ?? 0) - ox) + ny * ((p[a + 1] ?? 0) - oy) + nz * ((p[a + 2] ?? 0) - oz);
    const db = nx * ((p[b] ?? 0) - ox) + ny * ((p[b + 1] ?? 0) - oy) + nz * ((p[b + 2] ?? 0) - oz);
    const before = da >= 0;
    if (before === db >= 0) {
      const dc =
        nx * ((p[c] ?? 0) - ox) + ny * ((p[c + 1] ?? 0) - oy) + nz * ((p[c + 2] ?? 0) - oz);
      if (before === dc >= 0) continue;
    }
    cuts.triangles[count++] = triangle;
  }
  cuts.count = count;
  for (let piece = begin; piece < count; piece++) placeEnds(surface, piece, plane, cuts);
}

/**
 * Works out where a piece begins, on the edge that goes to the front round its triangle, and where
 * it ends, on the edge that goes back. Both are worked out from the corner behind to the one
 * before, so the two triangles at an edge give the very same point.
 */
function placeEnds(surface: Surface, piece: number, plane: Plane, cuts: Cuts): void {
  const { positions: p, triangles } = surface;
  const { ends } = cuts;
  const t = 3 * (cuts.triangles[piece] ?? 0);
  for (let edge = 0; edge < 3; edge++) {
    const from = 3 * (triangles[t + edge] ?? 0);
    const to = 3 * (triangles[t + (edge === 2 ? 0 : edge + 1)] ?? 0);
    let dFrom = 0;
    let dTo = 0;
    for (let k = 0; k < 3; k++) {
      dFrom += (plane[3 + k] ?? 0) * ((p[from + k] ?? 0) - (plane[k] ?? 0));
      dTo += (plane[3 + k] ?? 0) * ((p[to + k] ?? 0) - (plane[k] ?? 0));
    }
    const toFront = !(dFrom >= 0);
    if (toFront !== dTo >= 0) continue;
    const behind = toFront ? from : to;
    const before = toFront ? to : from;
    const share = toFront ? dFrom / (dFrom - dTo) : dTo / (dTo - dFrom);
    let u = 0;
    let v = 0;
    for (let k = 0; k < 3; k++) {
      const start = (p[behind + k] ?? 0) - (plane[k] ?? 0);
      const end = (p[before + k] ?? 0) - (plane[k] ?? 0);
      const along = (1 - share) * start + share * end;
      u += along * (plane[6 + k] ?? 0);
      v += along * (plane[9 + k] ?? 0);
    }
    const at = 4 * piece + (toFront ? 0 : 2);
    ends[at] = u;
    ends[at + 1] = v;
  }
}
