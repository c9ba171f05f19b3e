import { bindMesh } from './bind-mesh.js';
import { fact } from './facts.js';

/** The plane that halves the bind-posed mesh: x = `x`, world space. */
export interface Midline {
  readonly x: number;
  /** Share of the vertices looked at that have a mirror vertex, 0 to 1. */
  readonly mirrored: number;
  /** Whether the mesh counts as symmetric about it. */
  readonly symmetric: boolean;
}

/** A vertex has a mirror vertex when one lies this near, relative to size. */
const NEAR = 0.01;
/** The mesh is symmetric when this share of its vertices have one. */
const SHARE = 0.9;
/** Vertices looked at: more would not change the share by a percent. */
const PROBES = 4096;
/** Points compared for one vertex: a heap of vertices in one spot must not make this quadratic. */
const TRIES = 2048;

/** The midline of the mesh's own bounding box, and whether the mesh is symmetric about it. */
export const midline = fact((facts): Midline => {
  const { positions, min, centre, size } = bindMesh(facts);
  const x = centre[0];
  const total = positions.reduce((sum, part) => sum + part.length / 3, 0);
  if (total === 0 || !(size > 0)) return { x, mirrored: 0, symmetric: false };
  const points = new Float32Array(3 * total);
  let at = 0;
  for (const part of positions) {
    points.set(part, at);
    at += part.length;
  }
  const grid = new PointGrid(points, min, NEAR * size);
  const step = Math.max(1, Math.floor(total / PROBES));
  let [looked, found] = [0, 0];
  for (let vertex = 0; vertex < total; vertex += step) {
    looked++;
    const mirrored = 2 * x - (points[3 * vertex] ?? 0);
    if (grid.hasNear(mirrored, points[3 * vertex + 1] ?? 0, points[3 * vertex + 2] ?? 0)) found++;
  }
  const share = found / looked;
  return { x, mirrored: share, symmetric: share >= SHARE };
});

/** Points sorted into cubes of one radius, to ask whether any lies within that radius of a place. */
class PointGrid {
  /** Cells along an axis: the box is at most one size long and a cell is 1 % of it. */
  static readonly cells = Math.ceil(1 / NEAR) + 2;
  private readonly first: Int32Array;
  private readonly next: Int32Array;

  constructor(
    private readonly points: Float32Array,
    private readonly min: readonly [number, number, number],
    private readonly radius: number,
  ) {
    this.first = new Int32Array(PointGrid.cells ** 3).fill(-1);
    this.next = new Int32Array(points.length / 3);
    for (let i = 0; i < this.next.length; i++) {
      const cell = this.index(
        this.cell(0, points[3 * i] ?? 0),
        this.cell(1, points[3 * i + 1] ?? 0),
        this.cell(2, points[3 * i + 2] ?? 0),
      );
      this.next[i] = this.first[cell] ?? -1;
      this.first[cell] = i;
    }
  }

  hasNear(x: number, y: number, z: number): boolean {
    const [cx, cy, cz] = [this.cell(0, x), this.cell(1, y), this.cell(2, z)];
    const limit = this.radius * this.radius;
    let tries = 0;
    for (let i = Math.max(0, cx - 1); i <= Math.min(PointGrid.cells - 1, cx + 1); i++) {
      for (let j = Math.max(0, cy - 1); j <= Math.min(PointGrid.cells - 1, cy + 1); j++) {
        for (let k = Math.max(0, cz - 1); k <= Math.min(PointGrid.cells - 1, cz + 1); k++) {
          for (let p = this.first[this.index(i, j, k)] ?? -1; p !== -1; p = this.next[p] ?? -1) {
            const dx = (this.points[3 * p] ?? 0) - x;
            const dy = (this.points[3 * p + 1] ?? 0) - y;
            const dz = (this.points[3 * p + 2] ?? 0) - z;
            if (dx * dx + dy * dy + dz * dz <= limit) return true;
            if (++tries > TRIES) return false;
          }
        }
      }
    }
    return false;
  }

  private cell(axis: 0 | 1 | 2, value: number): number {
    const cell = Math.floor((value - this.min[axis]) / this.radius);
    return Math.min(PointGrid.cells - 1, Math.max(0, cell));
  }

  private index(i: number, j: number, k: number): number {
    return (i * PointGrid.cells + j) * PointGrid.cells + k;
  }
}
