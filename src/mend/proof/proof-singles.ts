import type { PartLook } from './looks.js';
import { turnBound } from './proof-bounds.js';
import { type BoxList, reachIn } from './proof-boxes.js';
import {
  blend,
  compareDirections,
  distance,
  type Farthest,
  type SkinnedAs,
} from './proof-vertices.js';

/** A part in one pose, with all its morph targets. */
export interface TargetedPart extends SkinnedAs {
  readonly look: PartLook;
}

/** The largest differences found, and which target was shown: -1 where only a bound says so. */
export interface SinglesFound extends Farthest {
  target: number;
  turnedTarget: number;
}

/** What stands for all morph targets of a vertex at once. */
export interface SingleBounds {
  /** Of each vertex, where it is with no target and with each of them; null where these are not the same. */
  readonly boxes: BoxList | null;
  /** Whether normals and tangents are the same before and after, so that one bound holds for any. */
  readonly isTurnedAlike: boolean;
  /** A bound up to this needs no closer look: world units, and degrees. */
  readonly distance: number;
  readonly turn: number;
}

/**
 * Compares vertices with each morph target alone at full weight. The blended matrices M before and N after are
 * worked out once a vertex, whatever number of targets there is. Where targets are the same before and after,
 * the vertex is apart by (M - N) p, where p with any target is in the vertex's box, and a direction is turned
 * by no more than M and N turn any (`turnBound`). Targets are gone through only where that is not enough.
 *
 * @param only Vertices to look at; null for all.
 */
export function compareSingles(
  a: TargetedPart,
  b: TargetedPart,
  only: readonly number[] | null,
  bounds: SingleBounds,
): SinglesFound {
  const found: SinglesFound = {
    ...{ distance: 0, vertex: -1, target: -1 },
    ...{ turn: 0, turnedVertex: -1, turnedTarget: -1 },
  };
  const [m, n, apart] = [new Float64Array(12), new Float64Array(12), new Float64Array(12)];
  const isTurned = a.look.normals !== null || a.look.tangents !== null;
  const count = only === null ? a.part.vertexCount : only.length;
  for (let at = 0; at < count; at++) {
    const vertex = only === null ? at : (only[at] ?? 0);
    blend(a, vertex, m);
    blend(b, vertex, n);
    let gap = Infinity;
    if (bounds.boxes !== null) {
      for (let i = 0; i < 12; i++) apart[i] = (m[i] ?? 0) - (n[i] ?? 0);
      gap = reachIn(apart, bounds.boxes, 6 * vertex, 1);
    }
    if (!(gap <= bounds.distance)) eachPlace(a, b, vertex, m, n, found);
    else if (gap > found.distance) Object.assign(found, { distance: gap, vertex: -1, target: -1 });
    if (!isTurned) continue;
    const turn = bounds.isTurnedAlike ? turnBound(m, n) : Infinity;
    if (!(turn <= bounds.turn)) eachDirection(a, b, vertex, m, n, found);
    else if (turn > found.turn) Object.assign(found, { turn, turnedVertex: -1, turnedTarget: -1 });
  }
  return found;
}

/** A vertex, or a direction, with one morph target added. */
const [P, Q] = [new Float64Array(4), new Float64Array(4)];

function eachPlace(
  a: TargetedPart,
  b: TargetedPart,
  vertex: number,
  m: Float64Array,
  n: Float64Array,
  found: SinglesFound,
): void {
  for (let target = 0; target < a.look.targets.length; target++) {
    add(a.part.positions, 3 * vertex, a.look.targets[target]?.positions, vertex, P);
    add(b.part.positions, 3 * vertex, b.look.targets[target]?.positions, vertex, Q);
    const gap = distance(m, P, n, Q, 0);
    if (gap > found.distance) Object.assign(found, { distance: gap, vertex, target });
  }
}

function eachDirection(
  a: TargetedPart,
  b: TargetedPart,
  vertex: number,
  m: Float64Array,
  n: Float64Array,
  found: SinglesFound,
): void {
  for (const [key, stride] of [
    ['normals', 3],
    ['tangents', 4],
  ] as const) {
    const [base, other] = [a.look[key], b.look[key]];
    if (base === null || other === null) continue;
    const at = stride * vertex;
    for (let target = 0; target < a.look.targets.length; target++) {
      add(base, at, a.look.targets[target]?.[key], vertex, P);
      add(other, at, b.look.targets[target]?.[key], vertex, Q);
      const known = found.turn;
      compareDirections(a, b, m, n, P, Q, 0, vertex, found);
      if (found.turn > known) found.turnedTarget = target;
    }
  }
}

/** Three numbers of a list, and what a morph target adds to them at full weight. */
function add(
  base: Float32Array,
  at: number,
  deltas: Float32Array | null | undefined,
  vertex: number,
  out: Float64Array,
): void {
  for (let i = 0; i < 3; i++)
    out[i] = (base[at + i] ?? 0) + (deltas == null ? 0 : (deltas[3 * vertex + i] ?? 0));
}
