import type { SkinnedPart } from '../../rig/types.js';
import type { PartLook, TargetLook } from './looks.js';
import { NOISE } from './proof-limits.js';

type Numbers = Float32Array | Float64Array;

/** A part before its joints move it, its morph targets added. */
export interface Shape {
  /** x, y, z a vertex. */
  readonly positions: Numbers;
  readonly normals: Numbers | null;
  /** x, y, z and handedness a vertex. */
  readonly tangents: Numbers | null;
  /** Whether morph targets leave too little of a direction of a vertex (`isFaded`). */
  readonly faded: (key: 'normals' | 'tangents', vertex: number) => boolean;
}

/** Where shapes of some vertices are made, one after the other: each is gone when the next is made. */
export type ShapeRoom = Map<keyof TargetLook, Float64Array>;

/** Vertices that are asked for. */
export interface Asked {
  readonly vertices: readonly number[];
  readonly room: ShapeRoom;
}

/**
 * Adds what each morph target gives, times its weight, to positions, normals and tangents (glTF 2.0, 3.7.2.2
 * Morph Targets). Handedness stays as it is.
 *
 * @param only Null for all vertices; others than those that are asked for may have any numbers.
 */
export function shapeOf(
  part: SkinnedPart,
  look: PartLook | null,
  weights: ArrayLike<number>,
  only: Asked | null = null,
): Shape {
  const { positions } = part;
  if (look === null) return { positions, normals: null, tangents: null, faded: () => false };
  const { normals, tangents, targets } = look;
  const added = (key: keyof TargetLook, base: Float32Array, stride: 3 | 4): Numbers =>
    only === null
      ? morphed(key, base, stride, targets, weights)
      : morphedAt(only, key, base, stride, targets, weights);
  const shape = {
    positions: added('positions', positions, 3),
    normals: normals && added('normals', normals, 3),
    tangents: tangents && added('tangents', tangents, 4),
  };
  const faded: Shape['faded'] = (key, vertex) => {
    const at = (key === 'normals' ? 3 : 4) * vertex;
    const parts = targets.reduce(
      (sum, target, index) =>
        sum + Math.abs(weights[index] ?? 0) * lengthAt(target[key], 3 * vertex),
      lengthAt(look[key], at),
    );
    return isFaded(shape[key], at, parts);
  };
  return { ...shape, faded };
}

/**
 * Whether morph targets leave so little of a direction that it has none: no more than `NOISE` of what its
 * base and all that targets add to it come to, without their directions.
 */
export function isFaded(direction: Numbers | null, at: number, parts: number): boolean {
  return lengthAt(direction, at) <= NOISE * parts;
}

/** Length of three numbers of a list; 0 without one. */
export function lengthAt(values: Numbers | null | undefined, at: number): number {
  if (values == null) return 0;
  const [x, y, z] = [values[at] ?? 0, values[at + 1] ?? 0, values[at + 2] ?? 0];
  return Math.sqrt(x * x + y * y + z * z);
}

function morphed(
  key: keyof TargetLook,
  base: Float32Array,
  stride: 3 | 4,
  targets: readonly TargetLook[],
  weights: ArrayLike<number>,
): Numbers {
  let out: Float64Array | null = null;
  for (const [at, target] of targets.entries()) {
    const [deltas, weight] = [target[key], weights[at] ?? 0];
    if (deltas === null || weight === 0) continue;
    out ??= Float64Array.from(base);
    for (let from = 0, to = 0; from < deltas.length; from += 3, to += stride)
      addAt(out, to, deltas, from, weight);
  }
  return out ?? base;
}

/** The same of some vertices. */
function morphedAt(
  { vertices, room }: Asked,
  key: keyof TargetLook,
  base: Float32Array,
  stride: 3 | 4,
  targets: readonly TargetLook[],
  weights: ArrayLike<number>,
): Numbers {
  let out: Float64Array | null = null;
  for (const [at, target] of targets.entries()) {
    const [deltas, weight] = [target[key], weights[at] ?? 0];
    if (deltas === null || weight === 0) continue;
    if (out === null) {
      out = room.get(key) ?? new Float64Array(base.length);
      room.set(key, out);
      for (const vertex of vertices)
        for (let i = stride * vertex; i < stride * (vertex + 1); i++) out[i] = base[i] ?? 0;
    }
    for (const vertex of vertices) addAt(out, stride * vertex, deltas, 3 * vertex, weight);
  }
  return out ?? base;
}

function addAt(
  out: Float64Array,
  to: number,
  deltas: Float32Array,
  from: number,
  weight: number,
): void {
  for (let i = 0; i < 3; i++) out[to + i] = (out[to + i] ?? 0) + weight * (deltas[from + i] ?? 0);
}

export function sameNumbers(a: ArrayLike<number> | null, b: ArrayLike<number> | null): boolean {
  if (a === b) return true;
  if (a === null || b === null || a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}
