import { contours } from 'd3-contour';
import type { Raster } from './raster.js';
import type { Point } from './view.js';

/** How much coarser each try is until a path fits. */
const COARSER = 1.5;
/** Tries, after which the largest shapes are taken as far as they fit. */
const TRIES = 14;

/** First and last index of a run of points. */
type Span = readonly [number, number];

/**
 * Path data around all pixels of `field` at or over a level, in picture units, filled even-odd. The
 * field is smoothed first, so that outlines do not follow the pixels' corners (marching squares).
 *
 * @param bounds The value at which inside begins, the least area of a shape or hole in pixels, the most
 * letters of the path, and how many picture units a line may stray.
 */
export function outlinePath(
  field: Uint8Array,
  raster: Raster,
  bounds: Readonly<Record<'level' | 'leastArea' | 'letters' | 'tolerance', number>>,
): string {
  const { width, height, step } = raster;
  const { level, leastArea, letters, tolerance } = bounds;
  const smooth = binomial(field, width, height);
  const rings = contours()
    .size([width, height])
    .contour(Array.from(smooth), level)
    .coordinates.flat()
    .map((ring) => ring.map(([x = 0, y = 0]): Point => [x, y]))
    .map((ring) => ({ ring, area: Math.abs(areaOf(ring)) }))
    .filter(({ area }) => area >= leastArea)
    .sort((a, b) => b.area - a.area);
  let paths: string[] = [];
  let [coarse, least] = [tolerance / step, leastArea];
  for (let attempt = 0; attempt < TRIES; attempt++) {
    const kept = rings.filter(({ area }) => area >= least);
    paths = kept.map(({ ring }) => ringPath(simplifyRing(ring, coarse), raster));
    if (paths.reduce((sum, path) => sum + path.length, 0) <= letters) return paths.join('');
    coarse *= COARSER;
    least *= COARSER;
  }
  let out = '';
  for (const path of paths) if (out.length + path.length <= letters) out += path;
  return out;
}

/** Weights 1 2 1 across and down, over 16: a single pixel keeps a quarter, a line half. */
function binomial(field: Uint8Array, width: number, height: number): Float64Array {
  const across = new Uint16Array(field.length);
  for (let pixel = 1; pixel + 1 < field.length; pixel++)
    across[pixel] = (field[pixel - 1] ?? 0) + 2 * (field[pixel] ?? 0) + (field[pixel + 1] ?? 0);
  const out = new Float64Array(field.length);
  for (let pixel = width; pixel + width < width * height; pixel++)
    out[pixel] =
      ((across[pixel - width] ?? 0) + 2 * (across[pixel] ?? 0) + (across[pixel + width] ?? 0)) / 16;
  return out;
}

function areaOf(ring: readonly Point[]): number {
  const doubled = ring.reduce((sum, [x, y], index) => {
    const [px, py] = ring.at(index - 1) ?? [0, 0];
    return sum + (px * y - x * py);
  }, 0);
  return doubled / 2;
}

/** Steps between whole tenths of a picture unit: short, and errors do not add up. */
function ringPath(ring: readonly Point[], { step, left, top }: Raster): string {
  const pair = (x: number, y: number): string => `${x / 10} ${y / 10}`;
  let [px, py] = [0, 0];
  let out = '';
  for (const [column, row] of ring) {
    const x = Math.round(10 * (column * step + left));
    const y = Math.round(10 * (row * step + top));
    if (out !== '' && x === px && y === py) continue;
    out += out === '' ? `M${pair(x, y)}l` : `${pair(x - px, y - py)} `;
    [px, py] = [x, y];
  }
  const body = out.trimEnd();
  return body === '' || body.endsWith('l') ? '' : `${body}z`;
}

/**
 * Fewer points of a closed ring, none of the left out ones farther than `tolerance` from the line
 * (Douglas and Peucker 1973, "Algorithms for the reduction of the number of points required to
 * represent a digitized line or its caricature"). The ring is split at its first point and the one
 * farthest from it. Without recursion: a spiral of thousands of points must not run out of stack.
 */
export function simplifyRing(ring: readonly Point[], tolerance: number): Point[] {
  const [first, last] = [ring[0], ring.at(-1)];
  if (first === undefined || last === undefined) return [];
  // Rings come with their first point again at the end.
  const open = first[0] === last[0] && first[1] === last[1] ? ring.slice(0, -1) : ring;
  let [far, farthest] = [0, -1];
  open.forEach(([x, y], index) => {
    const gap = (x - first[0]) ** 2 + (y - first[1]) ** 2;
    if (gap > farthest) [far, farthest] = [index, gap];
  });
  const closed = [...open, first];
  const kept = new Uint8Array(closed.length);
  kept[0] = kept[far] = 1;
  const spans: Span[] = [];
  spans.push([0, far], [far, open.length]);
  for (let span = spans.pop(); span !== undefined; span = spans.pop()) {
    const worst = farthestOff(closed, span, tolerance);
    if (worst === -1) continue;
    kept[worst] = 1;
    spans.push([span[0], worst], [worst, span[1]]);
  }
  return open.filter((_, index) => kept[index] === 1);
}

/** The point farthest from the line between two others; -1 where all are within `tolerance`. */
function farthestOff(points: readonly Point[], [start, end]: Span, tolerance: number): number {
  const [ax, ay] = points[start] ?? [0, 0];
  const [bx, by] = points[end] ?? [0, 0];
  const length = Math.hypot(bx - ax, by - ay);
  let [worst, most] = [-1, tolerance];
  for (let index = start + 1; index < end; index++) {
    const [x, y] = points[index] ?? [0, 0];
    const gap =
      length > 0
        ? Math.abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length
        : Math.hypot(x - ax, y - ay);
    if (gap > most) [worst, most] = [index, gap];
  }
  return worst;
}
