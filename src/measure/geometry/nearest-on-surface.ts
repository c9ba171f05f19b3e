import { add, distance, dot, scale, subtract, type Vec3, vec3At } from '../../rig/vec3.js';
import { CLUSTER, HALF, type SurfaceGrid } from './surface-clusters.js';

interface SurfacePoint {
  readonly at: Vec3;
  readonly distance: number;
}

/** The point of a surface that is nearest to a place; null when it has no triangle of any extent. */
export function nearestOnSurface(grid: SurfaceGrid, from: Vec3): SurfacePoint | null {
  // Begun in the cell whose box is nearest, so that nearly all others are passed over.
  let [nearest, least] = [-1, Infinity];
  for (const cell of cellsNear(grid, from, () => least)) {
    const away = toNode(grid, cell, from);
    if (away < least) [nearest, least] = [cell, away];
  }
  let best = nearest === -1 ? null : nearestInCell(grid, nearest, from, null);
  for (const cell of cellsNear(grid, from, () => best?.distance ?? Infinity))
    if (cell !== nearest) best = nearestInCell(grid, cell, from, best);
  return best;
}

function nearestInCell(
  grid: SurfaceGrid,
  cell: number,
  from: Vec3,
  best: SurfacePoint | null,
): SurfacePoint | null {
  let found = best;
  for (let i = grid.start[cell] ?? 0; i < (grid.start[cell + 1] ?? 0); i++) {
    const at = nearestOnTriangle(cornersOf(grid, grid.order[i] ?? 0), from);
    const away = distance(at, from);
    // A triangle drawn out to a line or point may give no number: its neighbours do.
    if (away < (found?.distance ?? Infinity)) found = { at, distance: away };
  }
  return found;
}

/** Triangles that may have a corner within `limit` of a place: all of those that do, and some more. */
export function trianglesNear(grid: SurfaceGrid, from: Vec3, limit: number): number[] {
  return [...cellsNear(grid, from, () => limit)].flatMap((cell) => [
    ...grid.order.subarray(grid.start[cell], grid.start[cell + 1]),
  ]);
}

export function cornersOf(grid: SurfaceGrid, triangle: number): [Vec3, Vec3, Vec3] {
  const corner = (k: number): Vec3 => vec3At(grid.positions, grid.triangles[3 * triangle + k] ?? 0);
  return [corner(0), corner(1), corner(2)];
}

/** Nodes that hold triangles and no other node, no farther from a place than `limit`, which may shrink. */
function* cellsNear(grid: SurfaceGrid, from: Vec3, limit: () => number): Generator<number> {
  for (let node = 0; node < grid.next.length; ) {
    const after = grid.next[node] ?? grid.next.length;
    const isNear = toNode(grid, node, from) <= limit();
    if (isNear && after === node + 1) yield node;
    node = isNear ? node + 1 : after;
  }
}

/** The least distance that a triangle of a node can have to a place. */
function toNode({ nodes }: SurfaceGrid, node: number, from: Vec3): number {
  const past = (axis: 0 | 1 | 2): number => {
    const at = CLUSTER * node + axis;
    return Math.max(0, Math.abs((nodes[at] ?? 0) - from[axis]) - (nodes[at + HALF] ?? 0));
  };
  return Math.hypot(past(0), past(1), past(2));
}

/**
 * By the corner, edge or face that the place lies before (Ericson, "Real-Time Collision Detection",
 * 2005, 5.1.5; from memory).
 */
function nearestOnTriangle([a, b, c]: readonly [Vec3, Vec3, Vec3], p: Vec3): Vec3 {
  const ab = subtract(b, a);
  const ac = subtract(c, a);
  const [ap, bp, cp] = [subtract(p, a), subtract(p, b), subtract(p, c)];
  const [d1, d2] = [dot(ab, ap), dot(ac, ap)];
  if (d1 <= 0 && d2 <= 0) return a;
  const [d3, d4] = [dot(ab, bp), dot(ac, bp)];
  if (d3 >= 0 && d4 <= d3) return b;
  const vc = d1 * d4 - d3 * d2;
  if (vc <= 0 && d1 >= 0 && d3 <= 0) return add(a, scale(ab, d1 / (d1 - d3)));
  const [d5, d6] = [dot(ab, cp), dot(ac, cp)];
  if (d6 >= 0 && d5 <= d6) return c;
  const vb = d5 * d2 - d1 * d6;
  if (vb <= 0 && d2 >= 0 && d6 <= 0) return add(a, scale(ac, d2 / (d2 - d6)));
  const va = d3 * d6 - d5 * d4;
  if (va <= 0 && d4 - d3 >= 0 && d5 - d6 >= 0)
    return add(b, scale(subtract(c, b), (d4 - d3) / (d4 - d3 + d5 - d6)));
  const all = va + vb + vc;
  return add(a, add(scale(ab, vb / all), scale(ac, vc / all)));
}
