import type { SkinnedPart } from '../../rig/types.js';
import { NOISE, SURE_TURN } from './proof-limits.js';
import type { Shape } from './proof-shape.js';

/** A part in one pose. */
export interface SkinnedAs {
  readonly part: SkinnedPart;
  /** W B of each slot, column-major. */
  readonly matrices: Float64Array;
}

/** The same in one state of its morph targets. */
export interface PosedPart extends SkinnedAs {
  readonly shape: Shape;
}

/** The largest differences found, and at which vertices. */
export interface Farthest {
  /** World units; Infinity where a place is lost, from the origin where one is gained. */
  distance: number;
  /** -1 where nothing differs. */
  vertex: number;
  /** Degrees between two normals or two tangents; Infinity where one of the two has no direction. */
  turn: number;
  turnedVertex: number;
}

/**
 * Skins vertices of two parts and compares where they are, and which way their normals and tangents point. A
 * vertex is moved by the blend of its joints' matrices (glTF 2.0, 3.7.3.3 Skinned Mesh Attributes), and a
 * normal or tangent turned by its upper 3 x 3, as three.js does (its shader chunk `skinnormal_vertex`; glTF
 * names no other way). Only its direction counts.
 *
 * @param only Vertices to look at; null for all.
 */
export function compareVertices(
  a: PosedPart,
  b: PosedPart,
  only: readonly number[] | null,
): Farthest {
  const found: Farthest = { distance: 0, vertex: -1, turn: 0, turnedVertex: -1 };
  const [m, n] = [new Float64Array(12), new Float64Array(12)];
  const isFaded = (key: 'normals' | 'tangents') => (vertex: number) =>
    a.shape.faded(key, vertex) && b.shape.faded(key, vertex);
  const [isNormalFaded, isTangentFaded] = [isFaded('normals'), isFaded('tangents')];
  const count = only === null ? a.part.vertexCount : only.length;
  for (let at = 0; at < count; at++) {
    const vertex = only === null ? at : (only[at] ?? 0);
    blend(a, vertex, m);
    blend(b, vertex, n);
    const gap = distance(m, a.shape.positions, n, b.shape.positions, 3 * vertex);
    if (gap > found.distance) {
      found.distance = gap;
      found.vertex = vertex;
    }
    if (a.shape.normals !== null && b.shape.normals !== null)
      compareDirections(
        a,
        b,
        m,
        n,
        a.shape.normals,
        b.shape.normals,
        3 * vertex,
        vertex,
        isNormalFaded,
        found,
      );
    if (a.shape.tangents !== null && b.shape.tangents !== null) {
      compareDirections(
        a,
        b,
        m,
        n,
        a.shape.tangents,
        b.shape.tangents,
        4 * vertex,
        vertex,
        isTangentFaded,
        found,
      );
      const hand = 4 * vertex + 3;
      if (!Object.is(a.shape.tangents[hand], b.shape.tangents[hand]) && found.turn < 180) {
        found.turn = 180;
        found.turnedVertex = vertex;
      }
    }
  }
  return found;
}

/** The sum of w W B over a vertex's influences: three rows, column by column. */
export function blend({ part, matrices }: SkinnedAs, vertex: number, out: Float64Array): void {
  const { influences, slots, weights } = part;
  out.fill(0);
  for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
    const weight = weights[k] ?? 0;
    if (weight === 0) continue;
    const from = 16 * (slots[k] ?? 0);
    for (let column = 0; column < 4; column++) {
      const [to, at] = [3 * column, from + 4 * column];
      out[to] = (out[to] ?? 0) + weight * (matrices[at] ?? 0);
      out[to + 1] = (out[to + 1] ?? 0) + weight * (matrices[at + 1] ?? 0);
      out[to + 2] = (out[to + 2] ?? 0) + weight * (matrices[at + 2] ?? 0);
    }
  }
}

/** One coordinate of a blended matrix times a point (`w` 1) or a direction (`w` 0). */
export function apply(
  m: Float64Array,
  row: 0 | 1 | 2,
  v: ArrayLike<number>,
  at: number,
  w: 0 | 1,
): number {
  return (
    (m[row] ?? 0) * (v[at] ?? 0) +
    (m[row + 3] ?? 0) * (v[at + 1] ?? 0) +
    (m[row + 6] ?? 0) * (v[at + 2] ?? 0) +
    (w === 0 ? 0 : (m[row + 9] ?? 0))
  );
}

/** How far two blended matrices take two points apart; both begin at `at` of their lists. */
export function distance(
  m: Float64Array,
  p: ArrayLike<number>,
  n: Float64Array,
  q: ArrayLike<number>,
  at: number,
): number {
  const [px, py, pz] = [apply(m, 0, p, at, 1), apply(m, 1, p, at, 1), apply(m, 2, p, at, 1)];
  const [qx, qy, qz] = [apply(n, 0, q, at, 1), apply(n, 1, q, at, 1), apply(n, 2, q, at, 1)];
  const gap = Math.sqrt((px - qx) ** 2 + (py - qy) ** 2 + (pz - qz) ** 2);
  if (!Number.isNaN(gap)) return gap;
  if (isNowhere(qx, qy, qz)) {
    // A vertex that was nowhere before is not moved by being nowhere still.
    return isNowhere(px, py, pz) ? 0 : Infinity;
  }
  // One that was nowhere and is given a place is seen to come there: a finite way, which can be allowed.
  return Math.hypot(qx, qy, qz);
}

function isNowhere(x: number, y: number, z: number): boolean {
  return !Number.isFinite(x + y + z);
}

const PER_RADIAN = 180 / Math.PI;

/**
 * Takes in how far two directions of a vertex, which begin at `at` of their lists, are apart once turned.
 *
 * @param isFaded Whether morph targets leave nothing of the two.
 */
export function compareDirections(
  a: SkinnedAs,
  b: SkinnedAs,
  m: Float64Array,
  n: Float64Array,
  p: ArrayLike<number>,
  q: ArrayLike<number>,
  at: number,
  vertex: number,
  isFaded: (vertex: number) => boolean,
  found: Pick<Farthest, 'turn' | 'turnedVertex'>,
): void {
  const [px, py, pz] = [apply(m, 0, p, at, 0), apply(m, 1, p, at, 0), apply(m, 2, p, at, 0)];
  const [qx, qy, qz] = [apply(n, 0, q, at, 0), apply(n, 1, q, at, 0), apply(n, 2, q, at, 0)];
  const [cx, cy, cz] = [py * qz - pz * qy, pz * qx - px * qz, px * qy - py * qx];
  const across = Math.sqrt(cx * cx + cy * cy + cz * cz);
  const along = px * qx + py * qy + pz * qz;
  // The usual case, without an arc tangent: a tangent is larger than its angle.
  let turn = along > 0 && across < along ? (across / along) * PER_RADIAN : Infinity;
  if (turn <= found.turn) return;
  turn = Math.atan2(across, along) * PER_RADIAN;
  const [before, after] = [Math.hypot(px, py, pz), Math.hypot(qx, qy, qz)];
  if (turn > SURE_TURN || across === 0 || Number.isNaN(turn)) {
    if (isNowhere(px, py, pz) || isNowhere(qx, qy, qz))
      turn = isNowhere(px, py, pz) && isNowhere(qx, qy, qz) ? 0 : Infinity;
    else {
      const reach = Math.max(reachOf(a, p, at, vertex), reachOf(b, q, at, vertex));
      if (Math.max(before, after) <= NOISE * reach || isFaded(vertex)) turn = 0;
      // A direction that was there is gone, or one that was not is.
      else if (before === 0 || after === 0) turn = Infinity;
    }
  }
  if (turn <= found.turn) return;
  found.turn = turn;
  found.turnedVertex = vertex;
}

/** What the joints of a vertex would give of a direction if they all turned it alike. */
function reachOf(
  { part, matrices }: SkinnedAs,
  direction: ArrayLike<number>,
  at: number,
  vertex: number,
): number {
  const [x = 0, y = 0, z = 0] = [direction[at], direction[at + 1], direction[at + 2]];
  let sum = 0;
  for (let k = part.influences * vertex; k < part.influences * (vertex + 1); k++) {
    const [weight, from] = [part.weights[k] ?? 0, 16 * (part.slots[k] ?? 0)];
    if (weight === 0) continue;
    let square = 0;
    for (let row = from; row < from + 3; row++)
      square +=
        ((matrices[row] ?? 0) * x + (matrices[row + 4] ?? 0) * y + (matrices[row + 8] ?? 0) * z) **
        2;
    sum += Math.abs(weight) * Math.sqrt(square);
  }
  return sum;
}
