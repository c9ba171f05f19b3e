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

function sumCell(
  { positions: p, triangles, order, start, nodes }: SurfaceGrid,
  node: number,
): void {
  const first = start[node] ?? 0;
  const last = start[node + 1] ?? 0;
  const at = CLUSTER * node;
  // Summed about their first corner, and brought to the middle of the box once that is known.
  const o = 3 * (triangles[3 * (order[first] ?? 0)] ?? 0);
  const ox = p[o] ?? 0;
  const oy = p[o + 1] ?? 0;
  const oz = p[o + 2] ?? 0;
  let x0 = Infinity;
  let y0 = Infinity;
  let z0 = Infinity;
  let x1 = -Infinity;
  let y1 = -Infinity;
  let z1 = -Infinity;
  let sx = 0;
  let sy = 0;
  let sz = 0;
  let xx = 0;
  let yy = 0;
  let zz = 0;
  let xy = 0;
  let yz = 0;
  let zx = 0;
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
  placeBox(nodes, at, ox + x0, oy + y0, oz + z0, ox + x1, oy + y1, oz + z1);
  nodes[at + NORMAL] = sx;
  nodes[at + NORMAL + 1] = sy;
  nodes[at + NORMAL + 2] = sz;
  nodes[at + MOMENT] = xx;
  nodes[at + MOMENT + 1] = yy;
  nodes[at + MOMENT + 2] = zz;
  nodes[at + MOMENT + 3] = xy;
  nodes[at + MOMENT + 4] = yz;
  nodes[at + MOMENT + 5] = zx;
  const dx = ox - (nodes[at] ?? 0);
  const dy = oy - (nodes[at + 1] ?? 0);
  const dz = oz - (nodes[at + 2] ?? 0);
  moveMoments(nodes, at, sx, sy, sz, dx, dy, dz);
}

function sumBlock(data: Float64Array, first: number, last: number, at: number): void {
  let x0 = Infinity;
  let y0 = Infinity;
  let z0 = Infinity;
  let x1 = -Infinity;
  let y1 = -Infinity;
  let z1 = -Infinity;
  for (let part = CLUSTER * first; part < CLUSTER * last; part += CLUSTER) {
    const x = data[part] ?? 0;
    const y = data[part + 1] ?? 0;
    const z = data[part + 2] ?? 0;
    const hx = data[part + HALF] ?? 0;
    const hy = data[part + HALF + 1] ?? 0;
    const hz = data[part + HALF + 2] ?? 0;
    if (x - hx < x0) x0 = x - hx;
    if (y - hy < y0) y0 = y - hy;
    if (z - hz < z0) z0 = z - hz;
    if (x + hx > x1) x1 = x + hx;
    if (y + hy > y1) y1 = y + hy;
    if (z + hz > z1) z1 = z + hz;
  }
  placeBox(data, at, x0, y0, z0, x1, y1, z1);
  for (let part = CLUSTER * first; part < CLUSTER * last; part += CLUSTER) {
    for (let k = NORMAL; k < CLUSTER; k++)
      data[at + k] = (data[at + k] ?? 0) + (data[part + k] ?? 0);
    moveMoments(
      data,
      at,
      data[part + NORMAL] ?? 0,
      data[part + NORMAL + 1] ?? 0,
      data[part + NORMAL + 2] ?? 0,
      (data[part] ?? 0) - (data[at] ?? 0),
      (data[part + 1] ?? 0) - (data[at + 1] ?? 0),
      (data[part + 2] ?? 0) - (data[at + 2] ?? 0),
    );
  }
}

function placeBox(
  data: Float64Array,
  at: number,
  x0: number,
  y0: number,
  z0: number,
  x1: number,
  y1: number,
  z1: number,
): void {
  data[at] = (x0 + x1) / 2;
  data[at + 1] = (y0 + y1) / 2;
  data[at + 2] = (z0 + z1) / 2;
  const hx = (x1 - x0) / 2;
  const hy = (y1 - y0) / 2;
  const hz = (z1 - z0) / 2;
  data[at + HALF] = hx;
  data[at + HALF + 1] = hy;
  data[at + HALF + 2] = hz;
  data[at + REACH] = Math.sqrt(hx * hx + hy * hy + hz * hz);
}

/** Moments of normals n taken about a place that lies d from the one they are now taken about. */
function moveMoments(
  data: Float64Array,
  at: number,
  nx: number,
  ny: number,
  nz: number,
  dx: number,
  dy: number,
  dz: number,
): void {
  const k = at + MOMENT;
  data[k] = (data[k] ?? 0) + nx * dx;
  data[k + 1] = (data[k + 1] ?? 0) + ny * dy;
  data[k + 2] = (data[k + 2] ?? 0) + nz * dz;
  data[k + 3] = (data[k + 3] ?? 0) + nx * dy + ny * dx;
  data[k + 4] = (data[k + 4] ?? 0) + ny * dz + nz * dy;
  data[k + 5] = (data[k + 5] ?? 0) + nz * dx + nx * dz;
}
