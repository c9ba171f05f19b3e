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
  return centreOf(sumsByArea(facts), joint) ?? centreOf(sumsByVertex(facts), joint);
}

/** The same of all vertices that a joint and those below it move, by weight alone. */
export function skinCentreBelow(facts: Facts, joint: number): Vec3 | null {
  return centreOf(sumsWithBelow(facts), joint);
}

/** Added up from below, for all joints at once: to go through the mesh for each takes minutes. */
const sumsWithBelow = fact((facts): Float64Array => {
  const { parent } = facts.rig.joints;
  const below = sumsByVertex(facts).slice();
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

/** Per joint: the sums of weighted x, y and z, and of the weights, each vertex by its area. */
const sumsByArea = fact((facts) => {
  const { areaScale } = skinMass(facts);
  return sumsOf(facts, (part, skin) => ({
    scale: areaScale[skin] ?? 1,
    areas: meshTriangles(facts)[part]?.vertexArea,
  }));
});

/** The same, each vertex by its weight alone. */
const sumsByVertex = fact((facts) => sumsOf(facts, () => ({ scale: 1, areas: null })));

/** What a vertex counts besides its weights: its area, or 1 for all where `areas` is null. */
interface Counting {
  readonly scale: number;
  readonly areas: Float64Array | null | undefined;
}

function sumsOf(facts: Facts, counting: (part: number, skin: number) => Counting): Float64Array {
  const { skins, parts, joints } = facts.rig;
  const out = new Float64Array(4 * joints.count);
  for (const [index, { skin, vertexCount, weights, slots, influences }] of parts.entries()) {
    const jointOfSlot = skins[skin]?.jointOfSlot;
    const positions = bindMesh(facts).positions[index];
    const { scale, areas } = counting(index, skin);
    if (jointOfSlot === undefined || positions === undefined || areas === undefined) continue;
    for (let vertex = 0; vertex < vertexCount; vertex++) {
      const counts = areas === null ? 1 : scale * (areas[vertex] ?? 0);
      const x = positions[3 * vertex] ?? 0;
      const y = positions[3 * vertex + 1] ?? 0;
      const z = positions[3 * vertex + 2] ?? 0;
      for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
        const weight = weights[k] ?? 0;
        const slot = slots[k] ?? 0;
        if (!(weight > 0) || slot >= jointOfSlot.length) continue;
        const by = weight * counts;
        const at = 4 * (jointOfSlot[slot] ?? 0);
        out[at] = (out[at] ?? 0) + by * x;
        out[at + 1] = (out[at + 1] ?? 0) + by * y;
        out[at + 2] = (out[at + 2] ?? 0) + by * z;
        out[at + 3] = (out[at + 3] ?? 0) + by;
      }
    }
  }
  return out;
}
