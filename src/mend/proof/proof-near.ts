import { type BoxList, reachIn } from './proof-boxes.js';
import { carry, type PartMaps } from './proof-maps.js';
import type { Open } from './proof-singles.js';
import type { Apart } from './proof-slack.js';
import { frobenius, turnBound } from './proof-turns.js';
import { blend, type SkinnedAs } from './proof-vertices.js';

/** A part in one pose, before and after, and how its shape changed. */
export interface NearInput {
  readonly a: SkinnedAs;
  readonly b: SkinnedAs;
  /** Null where the shape is the same before and after: then it is mapped to itself, and nothing is left. */
  readonly maps: PartMaps | null;
}

/** What is asked of single vertices in one pose. */
export interface NearAsked {
  /** Vertices whose places, and whose directions, are asked for. */
  readonly open: Open;
  /** Of each vertex, where it is with each morph target alone, and in any pose. */
  readonly single: BoxList;
  readonly posed: BoxList;
  /** Writes where a vertex is in this pose before its joints move it; null for single targets alone. */
  readonly placeOf: ((vertex: number, out: Float64Array) => void) | null;
  /** A bound up to this needs no closer look. */
  readonly enough: Apart;
}

/** The most that bounds say, up to what needs no closer look, and all others. */
export interface Near extends Apart {
  readonly single: readonly number[];
  readonly posed: readonly number[];
  /** In the pose, and with each target alone: one bound holds for all of these. */
  readonly turned: readonly number[];
}

/**
 * Bounds of single vertices. With M and N the blended matrices of one before and after, and A its map, it is
 * apart by (M - N A) p - N r, where p is in its box, and r no longer than its `rest`. Where the box says too
 * little of the pose, its place there is worked out: that is only one, and takes one sum for all targets.
 */
export function nearVertices(
  { a, b, maps }: NearInput,
  { open: { places, directions }, single, posed, placeOf, enough }: NearAsked,
): Near {
  const [m, n] = [new Float64Array(12), new Float64Array(12)];
  const [mapped, apart] = [new Float64Array(12), new Float64Array(12)];
  // A box that is a place has no edges.
  const place = new Float64Array(6);
  const found = { single: [] as number[], posed: [] as number[], turned: [] as number[] };
  let [distance, turn] = [0, 0];
  const isAsked = new Uint8Array(a.part.vertexCount);
  for (const vertex of places) isAsked[vertex] = PLACE;
  for (const vertex of directions) isAsked[vertex] = (isAsked[vertex] ?? 0) | DIRECTION;
  for (let vertex = 0; vertex < isAsked.length; vertex++) {
    const asked = isAsked[vertex] ?? 0;
    if (asked === 0) continue;
    blend(a, vertex, m);
    blend(b, vertex, n);
    if (maps === null) mapped.set(n);
    else carry(n, maps.maps, 12 * vertex, mapped);
    if ((asked & DIRECTION) !== 0) {
      const bound = turnBound(m, mapped, maps?.blur[vertex] ?? 0);
      if (bound <= enough.turn) turn = Math.max(turn, bound);
      else found.turned.push(vertex);
    }
    if ((asked & PLACE) === 0) continue;
    const rest = maps === null ? 0 : frobenius(n) * (maps.rest[vertex] ?? 0);
    for (let i = 0; i < 12; i++) apart[i] = (m[i] ?? 0) - (mapped[i] ?? 0);
    const alone = reachIn(apart, single, 6 * vertex, 1) + rest;
    if (alone <= enough.distance) distance = Math.max(distance, alone);
    else found.single.push(vertex);
    if (placeOf === null) continue;
    let shown = reachIn(apart, posed, 6 * vertex, 1) + rest;
    if (!(shown <= enough.distance)) {
      placeOf(vertex, place);
      shown = reachIn(apart, place, 0, 1) + rest;
    }
    if (shown <= enough.distance) distance = Math.max(distance, shown);
    else found.posed.push(vertex);
  }
  return { ...found, distance, turn };
}

/** What is asked of a vertex: bits of one number. */
const [PLACE, DIRECTION] = [1, 2];
