import { invert, type Mat4, mat4At, multiply, transformDirection } from '../rig/mat4.js';
import type { SkinnedPart } from '../rig/types.js';
import { direction, subtract, type Vec3 } from '../rig/vec3.js';
import { bindMesh } from './bind-mesh.js';
import { bindPose } from './bind-pose.js';
import { bonePose } from './bone-pose.js';
import { type Facts, fact } from './facts.js';

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

/** Middle of the vertices that a joint moves, by weight; bind pose, world space. Null where it moves none. */
export function skinCentre(facts: Facts, joint: number): Vec3 | null {
  const [x = 0, y = 0, z = 0, total = 0] = sums(facts).subarray(4 * joint, 4 * joint + 4);
  return total > 0 && Number.isFinite(total) ? [x / total, y / total, z / total] : null;
}

/** Per joint: the sums of x, y and z by weight, and of the weights. One pass serves all joints. */
const sums = fact((facts): Float64Array => {
  const out = new Float64Array(4 * facts.rig.joints.count);
  facts.rig.parts.forEach((part, index) => {
    const jointOfSlot = facts.rig.skins[part.skin]?.jointOfSlot;
    const positions = bindMesh(facts).positions[index];
    if (jointOfSlot !== undefined && positions !== undefined)
      addPart(out, part, jointOfSlot, positions);
  });
  return out;
});

function addPart(
  out: Float64Array,
  { weights, slots, influences }: SkinnedPart,
  jointOfSlot: Int32Array,
  positions: Float32Array,
): void {
  for (let k = 0; k < weights.length; k++) {
    const weight = weights[k] ?? 0;
    const slot = slots[k] ?? 0;
    if (!(weight > 0) || slot >= jointOfSlot.length) continue;
    const at = 4 * (jointOfSlot[slot] ?? 0);
    const vertex = 3 * Math.floor(k / influences);
    out[at] = (out[at] ?? 0) + weight * (positions[vertex] ?? 0);
    out[at + 1] = (out[at + 1] ?? 0) + weight * (positions[vertex + 1] ?? 0);
    out[at + 2] = (out[at + 2] ?? 0) + weight * (positions[vertex + 2] ?? 0);
    out[at + 3] = (out[at + 3] ?? 0) + weight;
  }
}
