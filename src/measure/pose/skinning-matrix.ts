import { identity, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Rig, RigSkin } from '../../rig/types.js';

/** M_j = W_j B_j at rest, for a joint of a skin; identity for a joint the skin does not list. */
export function skinningMatrix(rig: Rig, skin: RigSkin, joint: number): Mat4 {
  const slot = skin.slotOfJoint[joint] ?? -1;
  if (slot === -1) return identity();
  const world = mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0);
  return multiply(world, mat4At(skin.inverseBind, slot));
}

/** Whether two matrices are the same but for the rounding of a file. */
export function near(a: Mat4, b: Mat4): boolean {
  const span = Math.max(...Array.from(b, Math.abs), 1e-30);
  return a.every((value, index) => Math.abs(value - (b[index] ?? 0)) < 1e-4 * span);
}
