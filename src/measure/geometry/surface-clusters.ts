import { add, dot, scale, subtract, type Vec3 } from '../../rig/vec3.js';
import type { Surface } from './surface.js';

/**
 * Numbers of a cluster of triangles: the middle of the box around them (x, y, z), half the edges of
 * that box, its reach (half the diagonal), the sum of the area normals n (x, y, z), and the sum of
 * n ⊗ d, d from the middle of the box to that of the triangle: xx, yy, zz, xy + yx, yz + zy, zx + xz.
 * World units.
 */
export const CLUSTER = 16;
export const HALF = 3;
export const REACH = 6;
export const NORMAL = 7;
export const MOMENT = 10;

/**
 * A surface sorted into cubes, to ask about places near and far: cells, and blocks of 4 x 4 x 4 cells.
 * Each that holds a triangle is a node. A block stands right before its cells.
 */
export interface SurfaceGrid extends Surface {
  /** Triangle numbers, node by node. */
  readonly order: Int32Array;
  /** Per node, and one more: its first place in `order`. */
  readonly start: Int32Array;
  /** Per node: the first after it that it does not hold; a cell's is the very next. */
  readonly next: Int32Array;
  /** `CLUSTER` numbers a node: its triangles taken together. */
  readonly nodes: Float64Array;
}

/** Works out the numbers of all nodes: of cells from triangles, of blocks from cells. */
export function sumNodes(grid: SurfaceGrid): void {
  const { next, nodes } = grid;
  for (let node = 0; node < next.length; node++) if (next[node] === node + 1) sumCell(grid, node);
  for (let block = 0; block < next.length; block = next[block] ?? next.length)
    sumBlock(nodes, block + 1, next[block] ?? 0, CLUSTER * block);
}

function sumCell(grid: SurfaceGrid, node: number): void {
  const { positions: p, triangles, order, start, nodes } = grid;
  const [first, last] = [start[node] ?? 0, start[node + 1] ?? 0];
  const at = CLUSTER * node;
  // Summed about their first corner, and brought to the middle of the box once that is known.
  const o = 3 * (triangles[3 * (order[first] ?? 0)] ?? 0);
  const ox = p[o] ?? 0;
  const oy = p[o + 1] ?? 0;
  const oz = p[o + 2] ?? 0;
  let [x0, y0, z0] = [Infinity, Infinity, Infinity];
  let [x1, y1, z1] = [-Infinity, -Infinity, -Infinity];
  let [sx, sy, sz] = [0, 0, 0];
  let [xx, yy, zz, xy, yz, zx] = [0, 0, 0, 0, 0, 0];
  for (let i = first; i < last; i++) {
    const t = 3 * (order[i] ?? 0);
    const a = 3 * (triangles[t] ?? 0);
    const b = 3 * (triangles[t + 1] ?? 0);
    const c = 3 * (triangles[t + 2] ?? 0);
    const ax = (p[a] ?? 0) - ox;
    const ay = (p[a + 1] ?? 0) - oy;
    const az = (p[a + 2] ?? 0) - oz;
    const bx = (p[b] ?? 0) - ox;
    const by = (p[b + 1] ?? 0) - oy;
    const bz = (p[b + 2] ?? 0) - oz;
    const cx = (p[c] ?? 0) - ox;
    const cy = (p[c + 1] ?? 0) - oy;
    const cz = (p[c + 2] ?? 0) - oz;
    if (ax < x0) x0 = ax;
    if (ax > x1) x1 = ax;
    if (bx < x0) x0 = bx;
    if (bx > x1) x1 = bx;
    if (cx < x0) x0 = cx;
    if (cx > x1) x1 = cx;
    if (ay < y0) y0 = ay;
    if (ay > y1) y1 = ay;
    if (by < y0) y0 = by;
    if (by > y1) y1 = by;
    if (cy < y0) y0 = cy;
    if (cy > y1) y1 = cy;
    if (az < z0) z0 = az;
    if (az > z1) z1 = az;
    if (bz < z0) z0 = bz;
    if (bz > z1) z1 = bz;
    if (cz < z0) z0 = cz;
    if (cz > z1) z1 = cz;
    const nx = 0.5 * ((by - ay) * (cz - az) - (bz - az) * (cy - ay));
    const ny = 0.5 * ((bz - az) * (cx - ax) - (bx - ax) * (cz - az));
    const nz = 0.5 * ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax));
    const dx = (ax + bx + cx) / 3;
    const dy = (ay + by + cy) / 3;
    const dz = (az + bz + cz) / 3;
    sx += nx;
    sy += ny;
    sz += nz;
    xx += nx * dx;
    yy += ny * dy;
    zz += nz * dz;
    xy += nx * dy + ny * dx;
    yz += ny * dz + nz * dy;
    zx += nz * dx + nx * dz;
  }
  placeBox(nodes, at, [ox + x0, oy + y0, oz + z0], [ox + x1, oy + y1, oz + z1]);
  nodes.set([sx, sy, sz, xx, yy, zz, xy, yz, zx], at + NORMAL);
  moveMoments(nodes, at, at, [ox, oy, oz]);
}

function sumBlock(data: Float64Array, first: number, last: number, at: number): void {
  let [x0, y0, z0] = [Infinity, Infinity, Infinity];
  let [x1, y1, z1] = [-Infinity, -Infinity, -Infinity];
  for (let part = CLUSTER * first; part < CLUSTER * last; part += CLUSTER) {
    const [x, y, z] = threeAt(data, part);
    const [hx, hy, hz] = threeAt(data, part + HALF);
    if (x - hx < x0) x0 = x - hx;
    if (y - hy < y0) y0 = y - hy;
    if (z - hz < z0) z0 = z - hz;
    if (x + hx > x1) x1 = x + hx;
    if (y + hy > y1) y1 = y + hy;
    if (z + hz > z1) z1 = z + hz;
  }
  placeBox(data, at, [x0, y0, z0], [x1, y1, z1]);
  for (let part = CLUSTER * first; part < CLUSTER * last; part += CLUSTER) {
    for (let k = NORMAL; k < CLUSTER; k++)
      data[at + k] = (data[at + k] ?? 0) + (data[part + k] ?? 0);
    moveMoments(data, at, part, threeAt(data, part));
  }
}

function threeAt(data: Float64Array, at: number): Vec3 {
  return [data[at] ?? 0, data[at + 1] ?? 0, data[at + 2] ?? 0];
}

/** Stores middle, half edges and reach of a box. */
function placeBox(data: Float64Array, at: number, min: Vec3, max: Vec3): void {
  const half = scale(subtract(max, min), 1 / 2);
  data.set(scale(add(min, max), 1 / 2), at);
  data.set(half, at + HALF);
  data[at + REACH] = Math.sqrt(dot(half, half));
}

/** Brings moments about `place`, of the normals at `from`, to the middle of the box at `at`. */
function moveMoments(data: Float64Array, at: number, from: number, place: Vec3): void {
  const [dx, dy, dz] = subtract(place, threeAt(data, at));
  const [nx, ny, nz] = threeAt(data, from + NORMAL);
  const k = at + MOMENT;
  data[k] = (data[k] ?? 0) + nx * dx;
  data[k + 1] = (data[k + 1] ?? 0) + ny * dy;
  data[k + 2] = (data[k + 2] ?? 0) + nz * dz;
  data[k + 3] = (data[k + 3] ?? 0) + nx * dy + ny * dx;
  data[k + 4] = (data[k + 4] ?? 0) + ny * dz + nz * dy;
  data[k + 5] = (data[k + 5] ?? 0) + nz * dx + nx * dz;
}
