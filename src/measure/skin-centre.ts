import { invert, type Mat4, mat4At, multiply, transformDirection } from '../rig/mat4.js';
import { direction, subtract, type Vec3 } from '../rig/vec3.js';
import { bindMesh } from './bind-mesh.js';
import { bindPose } from './bind-pose.js';
import { bonePose } from './bone-pose.js';
import type { Facts } from './facts.js';

/**
 * Direction from a joint to the middle of its own skin, as its bones stand (see `bonePose`); null when
 * it moves none.
 */
export function skinDirection(facts: Facts, joint: number): Vec3 | null {
  const centre = skinCentre(facts, joint);
  const place = bindPose(facts).places[joint];
  if (centre === null || place === undefined) return null;
  const toward = subtract(centre, place);
  const turn = toBones(facts, joint);
  return direction(turn === null ? toward : transformDirection(turn, toward));
}

/** Takes directions from where the joint's skin was bound to where its bones stand; null for no change. */
function toBones(facts: Facts, joint: number): Mat4 | null {
  const [bones, skin] = [bonePose(facts).world, bindPose(facts).world];
  if (bones === skin) return null;
  const back = invert(mat4At(skin, joint));
  return back === null ? null : multiply(mat4At(bones, joint), back);
}

/** Middle of the vertices that a joint moves, by weight; bind pose, world space. */
export function skinCentre(facts: Facts, joint: number): Vec3 | null {
  let [x, y, z, total] = [0, 0, 0, 0];
  facts.rig.parts.forEach((part, index) => {
    const slot = facts.rig.skins[part.skin]?.slotOfJoint[joint] ?? -1;
    const p = bindMesh(facts).positions[index];
    if (slot === -1 || p === undefined) return;
    for (let k = 0; k < part.weights.length; k++) {
      const weight = part.weights[k] ?? 0;
      if (part.slots[k] !== slot || !(weight > 0)) continue;
      const vertex = Math.floor(k / part.influences);
      x += weight * (p[3 * vertex] ?? 0);
      y += weight * (p[3 * vertex + 1] ?? 0);
      z += weight * (p[3 * vertex + 2] ?? 0);
      total += weight;
    }
  });
  return total > 0 && Number.isFinite(total) ? [x / total, y / total, z / total] : null;
}
