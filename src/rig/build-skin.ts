import { AssetError } from '../asset/errors.js';
import type { GltfSkin } from '../asset/gltf-types.js';
import type { Asset } from '../asset/load-asset.js';
import { identity } from './mat4.js';
import type { JointTable, RigSkin } from './types.js';

/** Reads one skin: which joint each slot is, and the inverse bind matrices. */
export function buildSkin(
  asset: Asset,
  skin: GltfSkin,
  index: number,
  joints: JointTable,
): RigSkin {
  const slots = skin.joints.length;
  const slotOfJoint = new Int32Array(joints.count).fill(-1);
  const jointOfSlot = Int32Array.from(skin.joints, (node) => joints.ofNode[node] ?? -1);
  for (const [slot, joint] of jointOfSlot.entries()) slotOfJoint[joint] = slot;
  const inverseBind = new Float64Array(16 * slots);
  for (let slot = 0; slot < slots; slot++) inverseBind.set(identity(), 16 * slot);
  const matrices =
    skin.inverseBindMatrices === null ? null : asset.decoded.get(skin.inverseBindMatrices);
  if (matrices != null) {
    if (matrices.size !== 16 || !(matrices.array instanceof Float32Array))
      throw new AssetError(
        'the inverse bind matrices are not 4 x 4 floats',
        `/skins/${index}/inverseBindMatrices`,
      );
    // A missing matrix is left all zero, which is no place: the joint then keeps its place at rest.
    inverseBind.fill(0).set(matrices.array.subarray(0, inverseBind.length));
  }
  return {
    index,
    name: skin.name,
    jointOfSlot,
    slotOfJoint,
    inverseBind,
    matrixCount: matrices?.count ?? null,
  };
}
