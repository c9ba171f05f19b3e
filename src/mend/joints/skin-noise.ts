import type { Facts } from '../../measure/facts.js';
import { bindMesh, size } from '../../measure/geometry/bind-mesh.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import { branchOf } from '../../rig/tree.js';
import { vec3At } from '../../rig/vec3.js';

/** Most of what a mend may move anything by, with room for all else that it does. Share of size. */
const UNSEEN = 7e-6;
/** Nobody leaves more by accident. Share. */
const MOST = 1e-4;

/**
 * How far a joint's axes may be off square or its scale off, so that nothing is seen of it on the skin that it
 * moves, itself or below: the less, the farther that skin reaches from it, by its weights. Share.
 */
export function skinNoise(facts: Facts, joint: number): number {
  const { parts, skins, joints } = facts.rig;
  const branch = branchOf(joints, joint);
  const [x, y, z] = bindPose(facts).places[joint] ?? [0, 0, 0];
  let reach = 0;
  for (const [index, { skin, influences, slots, weights, vertexCount }] of parts.entries()) {
    const positions = bindMesh(facts).positions[index] ?? new Float32Array(0);
    const jointOfSlot = skins[skin]?.jointOfSlot ?? new Int32Array(0);
    for (let vertex = 0; vertex < vertexCount; vertex++) {
      let share = 0;
      for (let k = influences * vertex; k < influences * (vertex + 1); k++)
        if (branch[jointOfSlot[slots[k] ?? 0] ?? -1] === 1) share += weights[k] ?? 0;
      if (!(share > 0)) continue;
      const [px, py, pz] = vec3At(positions, vertex);
      reach = Math.max(reach, share * Math.hypot(px - x, py - y, pz - z));
    }
  }
  return reach > 0 ? Math.min(MOST, (UNSEEN * size(facts)) / reach) : MOST;
}
