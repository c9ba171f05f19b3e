import { decompose } from '../../rig/decompose.js';
import { invert, type Mat4, multiply } from '../../rig/mat4.js';
import type { Quaternion } from '../../rig/quaternion.js';
import type { NodeTable } from '../../rig/types.js';
import { type Vec3, vec3At } from '../../rig/vec3.js';

/** A local transform as nodes store it. */
export interface Stored {
  readonly translation: Vec3;
  /** Unit quaternion. */
  readonly rotation: Quaternion;
  readonly scale: Vec3;
}

export function storedOf(nodes: NodeTable, node: number): Stored {
  const [x = 0, y = 0, z = 0, w = 1] = nodes.rotation.subarray(4 * node, 4 * node + 4);
  return {
    translation: vec3At(nodes.translation, node),
    rotation: [x, y, z, w],
    scale: vec3At(nodes.scale, node),
  };
}

/** Splits a local matrix. */
export function splitOf(local: Mat4): Stored {
  const { translation, rotation, scale } = decompose(local);
  return { translation, rotation, scale: cleanScale(scale) };
}

/** A factor beside which others are rounding is one. */
export function cleanScale([x, y, z]: Vec3): Vec3 {
  const clean = (value: number): number => (Math.abs(value - 1) < 1e-7 ? 1 : value);
  return [clean(x), clean(y), clean(z)];
}

/** Where a child stands, seen from its parent, both in the world; null where the parent has no inverse. */
export function relativeTo(parent: Mat4 | null, child: Mat4): Mat4 | null {
  if (parent === null) return child;
  const back = invert(parent);
  return back && multiply(back, child);
}
