import type { Cuts } from './cut-triangles.js';
import { weld } from './weld.js';

/** One outline in a plane, its numbers in the frame (u, v) of the plane. World units. */
export interface Outline {
  /** Places of its pieces in `Cuts`, in order round. */
  readonly pieces: Int32Array;
  /** Middle of the area, from the plane's origin. */
  readonly centre: readonly [number, number];
  readonly area: number;
  /** Mean distance of the outline from the middle, by length. */
  readonly radius: number;
  /** Whether the plane's origin lies within. */
  readonly encloses: boolean;
  /** Distance of the plane's origin to the outline. */
  readonly away: number;
}

/** An outline with less area than this times its radius squared is a fold, not a form. */
const LEAST_AREA = 1e-6;

/** The pieces put end to end: closed outlines, and runs that stay open, of which only `away` counts. */
export function outlines(cuts: Cuts): { closed: Outline[]; open: Outline[] } {
  const { after, begins } = joinPieces(weld(endPoints(cuts)));
  const { row, starts, opens } = layInRows(after, begins);
  const runs = starts.map((start, i) => measure(row.subarray(start, starts[i + 1]), cuts.ends));
  const isForm = ({ area, radius }: Outline): boolean => area > LEAST_AREA * radius * radius;
  return { closed: runs.slice(opens).filter(isForm), open: runs.slice(0, opens) };
}

/** The ends of all pieces, in space so that they can be welded. */
function endPoints({ count, ends }: Cuts): Float32Array {
  const points = new Float32Array(6 * count);
  for (let i = 0; i < 2 * count; i++) {
    points[3 * i] = ends[2 * i] ?? 0;
    points[3 * i + 1] = ends[2 * i + 1] ?? 0;
  }
  return points;
}

/** In place of the piece after: there is none; the piece is in a run already. */
const END = -1;
const TAKEN = -2;

/** The piece after each, and 1 where none is before. `same` numbers the places of all ends. */
function joinPieces(same: Int32Array): { after: Int32Array; begins: Uint8Array } {
  const count = same.length / 2;
  // Pieces by the place they start from, as linked lists: 0 ends, else the piece plus one.
  const head = new Int32Array(2 * count);
  const next = new Int32Array(count);
  const after = new Int32Array(count);
  const begins = new Uint8Array(count);
  for (let piece = count - 1; piece >= 0; piece--) {
    const start = same[2 * piece] ?? 0;
    // From a place to the very same one: no piece of any outline.
    if (start === same[2 * piece + 1]) {
      after[piece] = TAKEN;
      continue;
    }
    begins[piece] = 1;
    next[piece] = head[start] ?? 0;
    head[start] = piece + 1;
  }
  for (let piece = 0; piece < count; piece++) {
    if (after[piece] === TAKEN) continue;
    const end = same[2 * piece + 1] ?? 0;
    const then = (head[end] ?? 0) - 1;
    after[piece] = then;
    if (then === END) continue;
    head[end] = next[then] ?? 0;
    begins[then] = 0;
  }
  return { after, begins };
}

/** Puts pieces in order, run after run. What is left once the open runs are followed is closed. */
function layInRows(
  after: Int32Array,
  begins: Uint8Array,
): { row: Int32Array; starts: number[]; opens: number } {
  const count = after.length;
  const row = new Int32Array(count);
  const starts: number[] = [];
  let [opens, last] = [0, 0];
  for (let i = 0; i < 2 * count; i++) {
    const piece = i < count ? i : i - count;
    if (i === count) opens = starts.length;
    if (after[piece] === TAKEN || (i < count && begins[piece] === 0)) continue;
    starts.push(last);
    for (let at = piece; at !== END && after[at] !== TAKEN; ) {
      const then = after[at] ?? END;
      after[at] = TAKEN;
      row[last++] = at;
      at = then;
    }
  }
  // What is left over were pieces without length.
  return { row: row.subarray(0, last), starts, opens };
}

/** The numbers of a run of pieces taken as an outline: a polygon's centroid by the fan of its edges. */
function measure(pieces: Int32Array, ends: Float64Array): Outline {
  const bx = ends[4 * (pieces[0] ?? 0)] ?? 0;
  const by = ends[4 * (pieces[0] ?? 0) + 1] ?? 0;
  let [twice, mx, my, near, crossings] = [0, 0, 0, Infinity, 0];
  for (let i = 0; i < pieces.length; i++) {
    const at = 4 * (pieces[i] ?? 0);
    const ax = ends[at] ?? 0;
    const ay = ends[at + 1] ?? 0;
    const cx = ends[at + 2] ?? 0;
    const cy = ends[at + 3] ?? 0;
    const fan = (ax - bx) * (cy - by) - (cx - bx) * (ay - by);
    twice += fan;
    mx += fan * (ax + cx - 2 * bx);
    my += fan * (ay + cy - 2 * by);
    if (ay > 0 !== cy > 0 && ax - (ay / (cy - ay)) * (cx - ax) > 0) crossings++;
    // The place on the piece that is nearest the origin.
    const wx = cx - ax;
    const wy = cy - ay;
    const square = wx * wx + wy * wy;
    const along = -(ax * wx + ay * wy);
    const share = along <= 0 ? 0 : along >= square ? 1 : along / square;
    const nx = ax + share * wx;
    const ny = ay + share * wy;
    if (nx * nx + ny * ny < near) near = nx * nx + ny * ny;
  }
  const x = bx + mx / (3 * twice);
  const y = by + my / (3 * twice);
  return {
    pieces,
    centre: [x, y],
    area: Math.abs(twice) / 2,
    radius: meanDistance(pieces, ends, x, y),
    encloses: crossings % 2 === 1,
    away: Math.sqrt(near),
  };
}

/** Mean distance of a run of pieces from a place, by length. */
function meanDistance(pieces: Int32Array, ends: Float64Array, x: number, y: number): number {
  let [length, sum] = [0, 0];
  for (let i = 0; i < pieces.length; i++) {
    const at = 4 * (pieces[i] ?? 0);
    const ax = (ends[at] ?? 0) - x;
    const ay = (ends[at + 1] ?? 0) - y;
    const cx = (ends[at + 2] ?? 0) - x;
    const cy = (ends[at + 3] ?? 0) - y;
    const sx = ax + cx;
    const sy = ay + cy;
    const extent = Math.sqrt((cx - ax) * (cx - ax) + (cy - ay) * (cy - ay));
    // Simpson's rule along the piece; `Math.hypot` would take care of sizes that no coordinate has.
    const off =
      Math.sqrt(ax * ax + ay * ay) +
      2 * Math.sqrt(sx * sx + sy * sy) +
      Math.sqrt(cx * cx + cy * cy);
    sum += (extent * off) / 6;
    length += extent;
  }
  return sum / length;
}
