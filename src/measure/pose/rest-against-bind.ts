import { boxAt } from '../../rig/box.js';
import { largestShift, type Mat4, mat4At, origin, transformPoint } from '../../rig/mat4.js';
import type { SkinnedPart } from '../../rig/types.js';
import { distance, vec3At } from '../../rig/vec3.js';
import { fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { skinMass } from '../skin/skin-mass.js';
import { bindPose, builtMatrices } from './bind-pose.js';
import { skinningMatrix } from './skinning-matrix.js';

/** How far the stored rest pose moves the skin off its bind pose. */
interface RestAgainstBind {
  /** Largest displacement of a vertex (of a joint, when there is no mesh). World units. */
  readonly shift: number;
  /** The joint that moves farthest with it, -1 when nothing moves. */
  readonly joint: number;
  /** How many joints were looked at, and how far the skin of each is moved at most. World units. */
  readonly looked: number;
  readonly shiftOfJoint: Float64Array;
}

/**
 * With M_j = W_j B_j, the rest pose is the bind pose exactly when all weighted joints share one M.
 * A vertex is displaced by |sum w_j M_j p - M_ref p|, with M_ref as the bind pose stands in the
 * world: the mend that stores the rig in it moves the vertex just as far. Joint by joint, the
 * corners of the box around the vertices it moves bound that; vertices are skinned only where the
 * bound is not nothing.
 */
export const restAgainstBind = fact((facts): RestAgainstBind => {
  const { rig } = facts;
  const shiftOfJoint = new Float64Array(rig.joints.count);
  const looked = new Set<number>();
  const { standing, places } = bindPose(facts);
  const { boxBySlot, hasMesh } = skinMass(facts);
  const nothing = 1e-6 * size(facts);
  let shift = 0;
  rig.parts.forEach((part, index) => {
    const skin = rig.skins[part.skin];
    const at = standing[part.skin];
    const built = builtMatrices(facts)[part.skin];
    if (skin === undefined || at === undefined) return;
    const matrices: Mat4[] = [];
    let bound = 0;
    skin.jointOfSlot.forEach((joint, slot) => {
      const matrix = built?.[slot] == null ? at : skinningMatrix(rig, skin, joint);
      matrices.push(matrix);
      const box = boxAt(boxBySlot[index], slot);
      if (box === null) return;
      looked.add(joint);
      const moved = largestShift(matrix, at, box.min, box.max);
      shiftOfJoint[joint] = Math.max(shiftOfJoint[joint] ?? 0, moved);
      bound = Math.max(bound, moved);
    });
    shift = Math.max(shift, bound > nothing ? largestVertexShift(part, matrices, at) : bound);
  });
  // Without a mesh: how far each joint's stored place is from the place its matrix gives it.
  for (let joint = 0; joint < rig.joints.count && !hasMesh; joint++) {
    const stored = origin(mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0));
    const moved = distance(stored, places[joint] ?? [0, 0, 0]);
    shiftOfJoint[joint] = moved;
    looked.add(joint);
    shift = Math.max(shift, moved);
  }
  const most = shiftOfJoint.reduce((a, b) => Math.max(a, b), 0);
  const joint = most > 0 ? shiftOfJoint.indexOf(most) : -1;
  return { shift, joint, looked: looked.size, shiftOfJoint };
});

function largestVertexShift(part: SkinnedPart, matrices: readonly Mat4[], reference: Mat4): number {
  let worst = 0;
  for (let vertex = 0; vertex < part.vertexCount; vertex++) {
    const p = vec3At(part.positions, vertex);
    let [x, y, z, total] = [0, 0, 0, 0];
    for (let k = part.influences * vertex; k < part.influences * (vertex + 1); k++) {
      const weight = part.weights[k] ?? 0;
      const matrix = matrices[part.slots[k] ?? 0];
      if (!(weight > 0) || matrix === undefined) continue;
      const q = transformPoint(matrix, p);
      x += weight * q[0];
      y += weight * q[1];
      z += weight * q[2];
      total += weight;
    }
    if (total === 0) continue;
    const q = transformPoint(reference, p);
    // Another rule reports weights that do not sum to 1: the pose is judged as if they did.
    worst = Math.max(worst, Math.hypot(x / total - q[0], y / total - q[1], z / total - q[2]));
  }
  return worst;
}
