import { direction, subtract, type Vec3 } from '../rig/vec3.js';
import { bindMesh } from './bind-mesh.js';
import { bindPose } from './bind-pose.js';
import type { Facts } from './facts.js';

/** World direction from a joint to the middle of its own skin; null when it moves none. */
export function skinDirection(facts: Facts, joint: number): Vec3 | null {
  const centre = skinCentre(facts, joint);
  const place = bindPose(facts).places[joint];
  return centre === null || place === undefined ? null : direction(subtract(centre, place));
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
