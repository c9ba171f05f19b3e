import { identity, invert, mat4At } from '../rig/mat4.js';
import type { Rig, RigSkin } from '../rig/types.js';

/**
 * The inverse bind matrices of a skin as pictures can use them, 16 numbers a slot. In place of one that
 * holds no numbers stands that of the joint as stored, which leaves its skin where the file has it: drawn
 * with the matrix itself, all that the joint moves would be gone.
 */
export function sceneBinds({ nodes, joints }: Rig, skin: RigSkin): Float64Array {
  const { inverseBind, jointOfSlot } = skin;
  if (inverseBind.every(Number.isFinite)) return inverseBind;
  const usable = inverseBind.slice();
  jointOfSlot.forEach((joint, slot) => {
    const matrix = mat4At(usable, slot);
    if (matrix.every(Number.isFinite)) return;
    const node = joints.node[joint] ?? -1;
    matrix.set((node === -1 ? null : invert(mat4At(nodes.world, node))) ?? identity());
  });
  return usable;
}
