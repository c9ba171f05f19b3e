import { decompose, type Trs } from '../../rig/decompose.js';
import { invert, type Mat4, multiply } from '../../rig/mat4.js';
import type { NodeTable } from '../../rig/types.js';
import { type Vec3, vec3At } from '../../rig/vec3.js';

export function storedOf(nodes: NodeTable, node: number): Trs {
  const [x = 0, y = 0, z = 0, w = 1] = nodes.rotation.subarray(4 * node, 4 * node + 4);
  return {
    translation: vec3At(nodes.translation, node),
    rotation: [x, y, z, w],
    scale: vec3At(nodes.scale, node),
  };
}

export function splitOf(local: Mat4): Trs {
  const parts = decompose(local);
  return { ...parts, scale: cleanScale(parts.scale) };
}

/** A factor that differs from 1 by no more than rounding is 1. */
export function cleanScale([x, y, z]: Vec3): Vec3 {
  const clean = (value: number): number => (Math.abs(value - 1) < 1e-7 ? 1 : value);
  return [clean(x), clean(y), clean(z)];
}

/** A node and all above it; none for -1. */
export function upFrom({ parent }: NodeTable, node: number): Set<number> {
  const line = new Set<number>();
  for (let above = node; above !== -1; above = parent[above] ?? -1) line.add(above);
  return line;
}

/** A child's world matrix as seen from its parent's; null where the parent has no inverse. */
export function relativeTo(parent: Mat4 | null, child: Mat4): Mat4 | null {
  if (parent === null) return child;
  const back = invert(parent);
  return back && multiply(back, child);
}
