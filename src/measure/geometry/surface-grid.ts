import type { Box } from '../../rig/box.js';
import { rowsOf } from './rows.js';
import type { Surface } from './surface.js';
import { CLUSTER, type SurfaceGrid, sumNodes } from './surface-clusters.js';

/** Triangles wanted in a cell that holds any: fewer make too many cells, more are slow to go through. */
const PER_CELL = 45;
/** Of n cells in a box a surface goes through some 4 n^(2/3), by counts on limbed bodies. */
const CELLS_ON_SURFACE = 4;
/** Bounds of the table of cells, for a mesh of any make. */
const [LEAST_CELLS, MOST_CELLS] = [512, 1 << 20];
/** A flat box is taken to be this share of its longest edge thick, or its cells would be slivers. */
const THINNEST = 1 / 32;
/** Cells along an edge of a block, and bits of a cell's number that tell it within its block. */
const ALONG_BLOCK = 4;
const IN_BLOCK = 6;

/** Sorts a surface into cells by the first corner of each triangle. `around` holds every corner. */
export function gridOf(surface: Surface, around: Box): SurfaceGrid {
  const { positions, triangles } = surface;
  const layout = layOut(around, Math.floor(triangles.length / 3));
  const { first, order } = rowsOf(cellsOf(surface, layout), layout.cells);
  const { start, next } = layNodes(first);
  const nodes = new Float64Array(CLUSTER * next.length);
  const grid = { positions, triangles, order, start, next, nodes };
  sumNodes(grid);
  return grid;
}

/** The cell of each triangle. */
function cellsOf(surface: Surface, layout: ReturnType<typeof layOut>): Int32Array {
  const { positions: p, triangles } = surface;
  const {
    origin: [x, y, z],
    perEdge,
    steps: [alongX, alongY, alongZ],
  } = layout;
  const cells = new Int32Array(Math.floor(triangles.length / 3));
  for (let i = 0; i < cells.length; i++) {
    const a = 3 * (triangles[3 * i] ?? 0);
    cells[i] =
      (alongX?.[(((p[a] ?? 0) - x) * perEdge) | 0] ?? 0) +
      (alongY?.[(((p[a + 1] ?? 0) - y) * perEdge) | 0] ?? 0) +
      (alongZ?.[(((p[a + 2] ?? 0) - z) * perEdge) | 0] ?? 0);
  }
  return cells;
}

/** The nodes of all cells that hold a triangle, from where the triangles of each cell begin. */
function layNodes(first: Int32Array): Pick<SurfaceGrid, 'start' | 'next'> {
  const start: number[] = [];
  const next: number[] = [];
  let [block, node] = [-1, 0];
  for (let cell = 0; cell + 1 < first.length; cell++) {
    const begin = first[cell] ?? 0;
    if (first[cell + 1] === begin) continue;
    if (cell >> IN_BLOCK !== block) {
      block = cell >> IN_BLOCK;
      node = start.length;
      start.push(begin);
      next.push(0);
    }
    start.push(begin);
    next.push(start.length);
    next[node] = start.length;
  }
  start.push(first.at(-1) ?? 0);
  return { start: Int32Array.from(start), next: Int32Array.from(next) };
}

/**
 * A box of cubes around all corners, in whole blocks, which come in one row. `steps` has per axis
 * what a place along it adds to the number of its cell.
 */
function layOut({ min, max }: Box, triangles: number) {
  const extent = max.map((end, axis) => end - (min[axis] ?? 0));
  const longest = Math.max(...extent);
  // A box without a size is one cell.
  if (!(longest > 0 && longest < Infinity))
    return { origin: min, perEdge: 0, steps: [], cells: 1 << IN_BLOCK };
  const thick = extent.map((e) => Math.max(e, THINNEST * longest));
  const wanted = (triangles / PER_CELL / CELLS_ON_SURFACE) ** 1.5;
  const cells = Math.min(MOST_CELLS, Math.max(LEAST_CELLS, wanted));
  const perEdge = Math.cbrt(cells / thick.reduce((product, e) => product * e, 1));
  // One more than fill it, so that what lies on the far side of the box is in it.
  const blocks = thick.map((e) => Math.floor((e * perEdge) / ALONG_BLOCK) + 1);
  const [, high = 1, deep = 1] = blocks;
  const steps = [high * deep, deep, 1].map((row, axis) =>
    Int32Array.from({ length: ALONG_BLOCK * (blocks[axis] ?? 1) }, (_, at) => {
      const [block, within] = [Math.floor(at / ALONG_BLOCK), at % ALONG_BLOCK];
      return ((block * row) << IN_BLOCK) + within * ALONG_BLOCK ** (2 - axis);
    }),
  );
  return { origin: min, perEdge, steps, cells: ((blocks[0] ?? 1) * high * deep) << IN_BLOCK };
}
