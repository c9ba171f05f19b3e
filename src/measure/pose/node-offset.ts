import { turnDegrees } from '../../rig/decompose.js';
import { mat4At, transformDirection } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import { length, vec3At } from '../../rig/vec3.js';

/** How far a node's stored transform is from none. */
interface NodeOffset {
  /** Length of the translation in world space. World units. */
  readonly move: number;
  /** Angle of the rotation, 0 to 180 degrees. */
  readonly turn: number;
}

/** Measures a node's own transform; its translation is taken to world space by the nodes above it. */
export function nodeOffset(rig: Rig, node: number): NodeOffset {
  const { nodes } = rig;
  const parent = nodes.parent[node] ?? -1;
  const translation = vec3At(nodes.translation, node);
  const world =
    parent === -1 ? translation : transformDirection(mat4At(nodes.world, parent), translation);
  const [x = 0, y = 0, z = 0, w = 1] = nodes.rotation.subarray(4 * node, 4 * node + 4);
  return { move: length(world), turn: turnDegrees([x, y, z, w]) };
}
