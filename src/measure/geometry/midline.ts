import type { Vec3 } from '../../rig/vec3.js';
import { fact } from '../facts.js';
import { bindMesh, bindRow } from './bind-mesh.js';

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
/** Vertices looked at, evenly spread: the share they give is within a percent or two of the whole. */
const PROBES = 1024;
/** Points of a cell compared for one vertex: a heap in one spot must not make this quadratic. */
const TRIES = 2048;

/** The midline of the mesh's own bounding box, and whether the mesh is symmetric about it. */
export const midline = fact((facts): Midline => {
  const { min, centre, size } = bindMesh(facts);
  const [x] = centre;
  const { positions: points } = bindRow(facts);
  const total = points.length / 3;
  if (total === 0 || !(size > 0)) return { x, mirrored: 0, symmetric: false };
  const grid = sortPoints(points, min, NEAR * size);
  const step = Math.max(1, Math.floor(total / PROBES));
  let [looked, found] = [0, 0];
  for (let vertex = 0; vertex < total; vertex += step) {
    looked++;
    const mirrored = 2 * x - (points[3 * vertex] ?? 0);
    if (hasNear(grid, mirrored, points[3 * vertex + 1] ?? 0, points[3 * vertex + 2] ?? 0)) found++;
  }
  const share = found / looked;
  return { x, mirrored: share, symmetric: share >= SHARE };
});

/** Cells along an axis: the box is at most one size long, and a cell two radii wide. */
const CELLS = Math.ceil(1 / (2 * NEAR)) + 1;

/**
 * Sorts points into cubes, to ask whether any lies within `radius` of a place: `first` is the first
 * point of each cell plus one, `next` the next point of the same cell plus one; 0 ends.
 */
function sortPoints(points: Float32Array, min: Vec3, radius: number) {
  const first = new Int32Array(CELLS * CELLS * CELLS);
  const next = new Int32Array(points.length / 3);
  const [x0, y0, z0] = min;
  const perCell = 1 / (2 * radius);
  for (let i = 0; i < next.length; i++) {
    // Every point lies in the box, so no cell is outside the grid.
    const cx = (((points[3 * i] ?? 0) - x0) * perCell) | 0;
    const cy = (((points[3 * i + 1] ?? 0) - y0) * perCell) | 0;
    const cz = (((points[3 * i + 2] ?? 0) - z0) * perCell) | 0;
    const cell = (cx * CELLS + cy) * CELLS + cz;
    next[i] = first[cell] ?? 0;
    first[cell] = i + 1;
  }
  return { points, min, radius, perCell, first, next };
}

type SortedPoints = ReturnType<typeof sortPoints>;

function cellAt(value: number): number {
  const cell = value | 0;
  return cell < 0 ? 0 : cell >= CELLS ? CELLS - 1 : cell;
}

/** Looks into the place's own cell first: on a dense mesh the answer is nearly always there. */
function hasNear(grid: SortedPoints, x: number, y: number, z: number): boolean {
  const { min, perCell } = grid;
  const [lx, ly, lz] = [(x - min[0]) * perCell, (y - min[1]) * perCell, (z - min[2]) * perCell];
  const home = (cellAt(lx) * CELLS + cellAt(ly)) * CELLS + cellAt(lz);
  if (cellHasNear(grid, home, x, y, z)) return true;
  for (let i = cellAt(lx - 0.5); i <= cellAt(lx + 0.5); i++) {
    for (let j = cellAt(ly - 0.5); j <= cellAt(ly + 0.5); j++) {
      for (let k = cellAt(lz - 0.5); k <= cellAt(lz + 0.5); k++) {
        const cell = (i * CELLS + j) * CELLS + k;
        if (cell !== home && cellHasNear(grid, cell, x, y, z)) return true;
      }
    }
  }
  return false;
}

function cellHasNear(grid: SortedPoints, cell: number, x: number, y: number, z: number): boolean {
  const { points, first, next } = grid;
  const limit = grid.radius * grid.radius;
  let tries = 0;
  for (let p = first[cell] ?? 0; p !== 0 && tries < TRIES; p = next[p - 1] ?? 0) {
    const dx = (points[3 * p - 3] ?? 0) - x;
    const dy = (points[3 * p - 2] ?? 0) - y;
    const dz = (points[3 * p - 1] ?? 0) - z;
    if (dx * dx + dy * dy + dz * dz <= limit) return true;
    tries++;
  }
  return false;
}
