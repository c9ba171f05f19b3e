import { contours } from 'd3-contour';
import type { Raster } from './raster.js';
import { simplifyRing } from './simplify.js';

/** Shapes as one path, filled even-odd. */
export interface OutlineOptions {
  /** Value at which inside begins. */
  readonly level: number;
  /** Least area of a shape or hole, pixels. */
  readonly leastArea: number;
  /** Most letters of the path. */
  readonly budget: number;
  /** Picture units a line may stray. */
  readonly tolerance: number;
}

/** How much coarser each try is until a path fits. */
const COARSER = 1.5;

/** Tries, after which the largest shapes are taken as far as they fit. */
const TRIES = 14;

type Ring = readonly (readonly [number, number])[];

/**
 * Path data around all pixels of `field` at or over a level, in picture units. The field is smoothed
 * first, so that outlines do not follow the pixels' corners (marching squares).
 */
export function outlinePath(field: Uint8Array, raster: Raster, options: OutlineOptions): string {
  const { width, height } = raster;
  const smooth = binomial(field, width, height);
  const { coordinates } = contours().size([width, height]).contour(smooth, options.level);
  const rings = coordinates
    .flat()
    .map((ring) => ring.map(([x = 0, y = 0]): [number, number] => [x, y]))
    .map((ring) => ({ ring, area: Math.abs(areaOf(ring)) }))
    .filter(({ area }) => area >= options.leastArea)
    .sort((a, b) => b.area - a.area);
  let tolerance = options.tolerance / raster.step;
  let leastArea = options.leastArea;
  let paths: string[] = [];
  for (let attempt = 0; attempt < TRIES; attempt++) {
    const kept = rings.filter(({ area }) => area >= leastArea);
    paths = kept.map(({ ring }) => ringPath(simplifyRing(ring, tolerance), raster));
    if (paths.reduce((sum, path) => sum + path.length, 0) <= options.budget) return paths.join('');
    tolerance *= COARSER;
    leastArea *= COARSER;
  }
  let out = '';
  for (const path of paths) if (out.length + path.length <= options.budget) out += path;
  return out;
}

/** Weights 1 2 1 across and down, over 16: one pixel by itself keeps a quarter, a line of pixels half. */
function binomial(field: Uint8Array, width: number, height: number): number[] {
  const across = new Float32Array(field.length);
  for (let at = 1; at + 1 < field.length; at++)
    across[at] = (field[at - 1] ?? 0) + 2 * (field[at] ?? 0) + (field[at + 1] ?? 0);
  const out = new Array<number>(field.length).fill(0);
  for (let at = width; at + width < width * height; at++)
    out[at] = ((across[at - width] ?? 0) + 2 * (across[at] ?? 0) + (across[at + width] ?? 0)) / 16;
  return out;
}

function areaOf(ring: Ring): number {
  let sum = 0;
  let [px, py] = ring.at(-1) ?? [0, 0];
  for (const [x, y] of ring) {
    sum += px * y - x * py;
    [px, py] = [x, y];
  }
  return sum / 2;
}

/** Steps between whole tenths of a picture unit: the shortest that keeps one decimal without adding up errors. */
function ringPath(ring: Ring, { step, left, top }: Raster): string {
  const tenths = ring.map(([x, y]): [number, number] => [
    Math.round(10 * (x * step + left)),
    Math.round(10 * (y * step + top)),
  ]);
  let [px, py] = [0, 0];
  let out = '';
  for (const [x, y] of tenths) {
    if (out !== '' && x === px && y === py) continue;
    out += out === '' ? `M${pair(x, y)}l` : `${pair(x - px, y - py)} `;
    [px, py] = [x, y];
  }
  const body = out.trimEnd();
  return body === '' || body.endsWith('l') ? '' : `${body}z`;
}

function pair(x: number, y: number): string {
  return `${x / 10} ${y / 10}`;
}
