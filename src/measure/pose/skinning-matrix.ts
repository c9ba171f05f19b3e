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
  return nearAt(a, 0, b, 0);
}

/** The same of one matrix each of two runs of them, 16 numbers each. */
export function nearAt(
  a: Float64Array,
  placeInA: number,
  b: Float64Array,
  placeInB: number,
): boolean {
  let span = 1e-30;
  for (let i = 0; i < 16; i++) span = Math.max(span, Math.abs(b[16 * placeInB + i] ?? NaN));
  for (let i = 0; i < 16; i++) {
    const gap = Math.abs((a[16 * placeInA + i] ?? NaN) - (b[16 * placeInB + i] ?? NaN));
    if (!(gap < 1e-4 * span)) return false;
  }
  return true;
}
