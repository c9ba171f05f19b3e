import type { PartLook } from './looks.js';
import { isFaded, lengthAt } from './proof-shape.js';
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

/** The largest differences found, and which target was shown. */
export interface SinglesFound extends Farthest {
  target: number;
  turnedTarget: number;
}

/** Vertices to look at. */
export interface Open {
  readonly places: readonly number[];
  readonly directions: readonly number[];
}

/**
 * Compares vertices with each morph target alone at full weight. The blended matrices M before and N after are
 * worked out once a vertex, whatever number of targets there is.
 */
export function compareSingles(
  a: TargetedPart,
  b: TargetedPart,
  { places, directions }: Open,
): SinglesFound {
  const found: SinglesFound = {
    ...{ distance: 0, vertex: -1, target: -1 },
    ...{ turn: 0, turnedVertex: -1, turnedTarget: -1 },
  };
  const [m, n] = [new Float64Array(12), new Float64Array(12)];
  for (const [vertices, compare] of [
    [places, eachPlace],
    [directions, eachDirection],
  ] as const)
    for (const vertex of vertices) {
      blend(a, vertex, m);
      blend(b, vertex, n);
      compare(a, b, vertex, m, n, found);
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
    let target = 0;
    const isFadedSingle = (): boolean => {
      const [one, two] = [a.look.targets[target]?.[key], b.look.targets[target]?.[key]];
      return (
        isFaded(P, 0, lengthAt(base, at) + lengthAt(one, 3 * vertex)) &&
        isFaded(Q, 0, lengthAt(other, at) + lengthAt(two, 3 * vertex))
      );
    };
    for (; target < a.look.targets.length; target++) {
      add(base, at, a.look.targets[target]?.[key], vertex, P);
      add(other, at, b.look.targets[target]?.[key], vertex, Q);
      const known = found.turn;
      compareDirections(a, b, m, n, P, Q, 0, vertex, isFadedSingle, found);
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
