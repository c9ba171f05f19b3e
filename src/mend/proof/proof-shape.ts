import type { SkinnedPart } from '../../rig/types.js';
import type { PartLook, TargetLook } from './looks.js';

type Numbers = Float32Array | Float64Array;

/** A part before its joints move it, its morph targets added. */
export interface Shape {
  /** x, y, z a vertex. */
  readonly positions: Numbers;
  readonly normals: Numbers | null;
  /** x, y, z and handedness a vertex. */
  readonly tangents: Numbers | null;
}

/**
 * Adds what each morph target gives, times its weight, to positions, normals and tangents (glTF 2.0, 3.7.2.2
 * Morph Targets). Handedness stays as it is.
 *
 * @param only Vertices that are asked for: others may have any numbers. Null for all.
 */
export function shapeOf(
  part: SkinnedPart,
  look: PartLook | null,
  weights: ArrayLike<number>,
  only: readonly number[] | null = null,
): Shape {
  const { positions } = part;
  if (look === null) return { positions, normals: null, tangents: null };
  const { normals, tangents, targets } = look;
  const added = (base: Float32Array, stride: 3 | 4, deltasOf: Deltas): Numbers =>
    only === null
      ? morphed(base, stride, targets, weights, deltasOf)
      : morphedAt(only, base, stride, targets, weights, deltasOf);
  return {
    positions: added(positions, 3, (target) => target.positions),
    normals: normals && added(normals, 3, (target) => target.normals),
    tangents: tangents && added(tangents, 4, (target) => target.tangents),
  };
}

type Deltas = (target: TargetLook) => Float32Array | null;

function morphed(
  base: Float32Array,
  stride: 3 | 4,
  targets: readonly TargetLook[],
  weights: ArrayLike<number>,
  deltasOf: Deltas,
): Numbers {
  let out: Float64Array | null = null;
  targets.forEach((target, at) => {
    const [deltas, weight] = [deltasOf(target), weights[at] ?? 0];
    if (deltas === null || weight === 0) return;
    out ??= Float64Array.from(base);
    for (let from = 0, to = 0; from < deltas.length; from += 3, to += stride)
      for (let i = 0; i < 3; i++)
        out[to + i] = (out[to + i] ?? 0) + weight * (deltas[from + i] ?? 0);
  });
  return out ?? base;
}

/** The same of some vertices; zeros at all others. */
function morphedAt(
  only: readonly number[],
  base: Float32Array,
  stride: 3 | 4,
  targets: readonly TargetLook[],
  weights: ArrayLike<number>,
  deltasOf: Deltas,
): Numbers {
  const moving = targets.flatMap((target, at) => {
    const [deltas, weight] = [deltasOf(target), weights[at] ?? 0];
    return deltas === null || weight === 0 ? [] : [{ deltas, weight }];
  });
  if (moving.length === 0) return base;
  const out = new Float64Array(base.length);
  for (const vertex of only) {
    const to = stride * vertex;
    for (let i = 0; i < stride; i++) out[to + i] = base[to + i] ?? 0;
    for (const { deltas, weight } of moving)
      for (let i = 0; i < 3; i++)
        out[to + i] = (out[to + i] ?? 0) + weight * (deltas[3 * vertex + i] ?? 0);
  }
  return out;
}

export function sameNumbers(a: ArrayLike<number> | null, b: ArrayLike<number> | null): boolean {
  if (a === b) return true;
  if (a === null || b === null || a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}
