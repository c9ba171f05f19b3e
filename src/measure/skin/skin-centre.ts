import { invert, mat4At, multiply, transformDirection } from '../../rig/mat4.js';
import { direction, subtract, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bindMesh } from '../geometry/bind-mesh.js';
import { meshTriangles } from '../geometry/triangle-sums.js';
import { bindPose } from '../pose/bind-pose.js';
import { bonePose } from '../pose/bone-pose.js';
import { skinMass } from './skin-mass.js';

/** Direction from a joint to the middle of its skin, in the bone pose; null when it moves none. */
export function skinDirection(facts: Facts, joint: number): Vec3 | null {
  const centre = skinCentre(facts, joint);
  const { world, places } = bindPose(facts);
  const place = places[joint];
  if (centre === null || place === undefined) return null;
  const toward = subtract(centre, place);
  const bones = bonePose(facts).world;
  const back = bones === world ? null : invert(mat4At(world, joint));
  if (back === null) return direction(toward);
  return direction(transformDirection(multiply(mat4At(bones, joint), back), toward));
}

/**
 * Middle of the skin that a joint moves, by weighted area, so that it is the same however the
 * vertices are split or joined; of the vertices where they have no area. Bind pose, world space.
 * Null where it moves none.
 */
export function skinCentre(facts: Facts, joint: number): Vec3 | null {
  const { byArea, byVertex } = sums(facts);
  return centreOf(byArea, joint) ?? centreOf(byVertex, joint);
}

/** The same of all vertices that a joint and those below it move, by weight alone. */
export function skinCentreBelow(facts: Facts, joint: number): Vec3 | null {
  return centreOf(sumsWithBelow(facts), joint);
}

/** Added up from below, for all joints at once: to go through the mesh for each takes minutes. */
const sumsWithBelow = fact((facts): Float64Array => {
  const { parent } = facts.rig.joints;
  const below = sums(facts).byVertex.slice();
  for (let joint = parent.length - 1; joint >= 0; joint--) {
    const above = parent[joint] ?? -1;
    if (above === -1) continue;
    for (let k = 0; k < 4; k++)
      below[4 * above + k] = (below[4 * above + k] ?? 0) + (below[4 * joint + k] ?? 0);
  }
  return below;
});

function centreOf(sums: Float64Array, joint: number): Vec3 | null {
  const [x = 0, y = 0, z = 0, total = 0] = sums.subarray(4 * joint, 4 * joint + 4);
  return total > 0 && Number.isFinite(total) ? [x / total, y / total, z / total] : null;
}

/** Per joint: the sums of weighted x, y and z, and of the weights. */
const sums = fact((facts) => {
  const { skins, parts, joints } = facts.rig;
  const byArea = new Float64Array(4 * joints.count);
  const byVertex = new Float64Array(4 * joints.count);
  const { areaScale } = skinMass(facts);
  for (const [index, { skin, weights, slots, influences }] of parts.entries()) {
    const jointOfSlot = skins[skin]?.jointOfSlot;
    const positions = bindMesh(facts).positions[index];
    const area = meshTriangles(facts)[index]?.vertexArea;
    if (jointOfSlot === undefined || positions === undefined || area === undefined) continue;
    const scale = areaScale[skin] ?? 1;
    for (let k = 0; k < weights.length; k++) {
      const weight = weights[k] ?? 0;
      const slot = slots[k] ?? 0;
      if (!(weight > 0) || slot >= jointOfSlot.length) continue;
      const at = 4 * (jointOfSlot[slot] ?? 0);
      const vertex = Math.floor(k / influences);
      add(byVertex, at, positions, vertex, weight);
      add(byArea, at, positions, vertex, weight * scale * (area[vertex] ?? 0));
    }
  }
  return { byArea, byVertex };
});

function add(out: Float64Array, at: number, p: Float32Array, vertex: number, by: number): void {
  out[at] = (out[at] ?? 0) + by * (p[3 * vertex] ?? 0);
  out[at + 1] = (out[at + 1] ?? 0) + by * (p[3 * vertex + 1] ?? 0);
  out[at + 2] = (out[at + 2] ?? 0) + by * (p[3 * vertex + 2] ?? 0);
  out[at + 3] = (out[at + 3] ?? 0) + by;
}
