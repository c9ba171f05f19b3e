import type { ChannelPath } from '../asset/gltf-types.js';
import { decompose } from '../rig/decompose.js';
import { invert, largestShift, type Mat4, mat4At, multiply, transformPoint } from '../rig/mat4.js';
import type { Rig, SkinnedPart } from '../rig/types.js';
import { distance, type Vec3, vec3At } from '../rig/vec3.js';
import { size } from './bind-mesh.js';
import { bindPose, builtMatrices, skinningMatrix } from './bind-pose.js';
import { bodyRoot } from './body-root.js';
import { ClipPose, sampleTimes } from './clip-sampling.js';
import { type Facts, fact } from './facts.js';
import { skinMass } from './skin-mass.js';

/** How far the stored rest pose moves the skin off its bind pose. */
export interface RestAgainstBind {
  /** Largest displacement of a vertex (of a joint, when there is no mesh). World units. */
  readonly shift: number;
  /** The joint that moves farthest with it, -1 when nothing moves. */
  readonly joint: number;
  /** Joints looked at, and joints whose own part of the skin is shifted by over `shortOver`. */
  readonly looked: number;
  readonly shiftOfJoint: Float64Array;
}

/**
 * With M_j = W_j B_j, the rest pose is the bind pose exactly when all weighted joints share one M. A
 * vertex is displaced by |sum w_j M_j p - M_ref p|, M_ref as the bind pose stands in the world, which is
 * where a rig goes that is stored in it: what a finding tells is what its mend moves. Joint by joint, the corners of the box around
 * the vertices it moves bound that; only where the bound is not nothing are vertices skinned.
 */
export const restAgainstBind = fact((facts): RestAgainstBind => {
  const { rig } = facts;
  const shiftOfJoint = new Float64Array(rig.joints.count);
  const seen = new Uint8Array(rig.joints.count);
  const { standing } = bindPose(facts);
  const { boxBySlot } = skinMass(facts);
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
      const usable = built?.[slot] != null;
      const matrix = usable ? skinningMatrix(rig, skin, joint) : at;
      matrices.push(matrix);
      const box = boxBySlot[index]?.subarray(6 * slot, 6 * slot + 6);
      if (box === undefined || !((box[0] ?? 0) <= (box[3] ?? -1))) return;
      seen[joint] = 1;
      const moved = largestShift(matrix, at, vec3At(box, 0), vec3At(box, 1));
      shiftOfJoint[joint] = Math.max(shiftOfJoint[joint] ?? 0, moved);
      bound = Math.max(bound, moved);
    });
    if (bound > nothing) shift = Math.max(shift, largestVertexShift(part, matrices, at));
    else shift = Math.max(shift, bound);
  });
  if (!skinMass(facts).hasMesh)
    shift = compareJoints(rig, bindPose(facts).places, shiftOfJoint, seen);
  let joint = -1;
  shiftOfJoint.forEach((value, candidate) => {
    if (value > (joint === -1 ? 0 : (shiftOfJoint[joint] ?? 0))) joint = candidate;
  });
  return { shift, joint, looked: seen.reduce((sum, value) => sum + value, 0), shiftOfJoint };
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
    // Weights that do not sum to 1 are another rule's business: the pose is judged as if they did.
    worst = Math.max(worst, Math.hypot(x / total - q[0], y / total - q[1], z / total - q[2]));
  }
  return worst;
}

/** Without a mesh: how far each joint's stored place is from the place its matrix gives it. */
function compareJoints(
  rig: Rig,
  places: readonly Vec3[],
  shiftOfJoint: Float64Array,
  seen: Uint8Array,
): number {
  let worst = 0;
  for (let joint = 0; joint < rig.joints.count; joint++) {
    const stored = mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0);
    const shift = distance(
      [stored[12] ?? 0, stored[13] ?? 0, stored[14] ?? 0],
      places[joint] ?? [0, 0, 0],
    );
    shiftOfJoint[joint] = shift;
    seen[joint] = 1;
    worst = Math.max(worst, shift);
  }
  return worst;
}

/** A clip and a time at which it shows the stored pose. */
export interface ClipMoment {
  readonly clip: string;
  /** Seconds. */
  readonly time: number;
}

/**
 * The first sample of a clip that poses the skin as it is stored, within `tolerance` (world units):
 * for each weighted joint the stored and the sampled matrix take the box of its vertices to the same
 * place. Null when no sample does. Needs all channels of the clips (`rig.clipsComplete`).
 */
export function findStoredPose(facts: Facts, tolerance: number): ClipMoment | null {
  const { rig } = facts;
  const watched = watchedJoints(facts);
  const posed = posedJoints(facts, tolerance);
  for (const clip of rig.clips) {
    // A clip that leaves a posed joint alone shows the stored pose there at any time: no evidence.
    if (
      !posed.every(({ node, paths }) =>
        paths.every((path) => clip.keyed.get(node)?.has(path) === true),
      )
    ) {
      continue;
    }
    const pose = new ClipPose(rig, clip);
    for (const time of sampleTimes(clip.channels)) {
      pose.seek(time);
      const same = watched.every(({ node, box }) => {
        const [now, stored] = [pose.worldOf(node), mat4At(rig.nodes.world, node)];
        return largestShift(now, stored, box.min, box.max) <= tolerance;
      });
      if (same) return { clip: clip.name, time };
    }
  }
  return null;
}

/** A joint whose own stored transform is off the bind pose, and in what. */
export interface PosedJoint {
  readonly joint: number;
  readonly node: number;
  readonly paths: readonly ChannelPath[];
}

/**
 * Joints whose own stored transform, not just their parent's, is off the bind pose by over `tolerance`
 * (world units) within a tenth of size around them. A topmost joint is held against the one that the
 * bind pose is placed by.
 */
export function posedJoints(facts: Facts, tolerance: number): PosedJoint[] {
  const { rig } = facts;
  const { world } = bindPose(facts);
  const reach = 0.1 * size(facts);
  return Array.from(rig.joints.node).flatMap((node, joint) => {
    const parent = rig.joints.parent[joint] ?? -1;
    if (skinMass(facts).movesBelow[joint] === 0) return [];
    const above = parent === -1 ? bodyRoot(facts).main : parent;
    if (above === joint) return [];
    const [built, stored] = [
      invert(mat4At(world, above)),
      invert(mat4At(rig.nodes.world, rig.joints.node[above] ?? 0)),
    ];
    if (built === null || stored === null) return [];
    const before = multiply(built, mat4At(world, joint));
    const now = multiply(stored, mat4At(rig.nodes.world, node));
    if (largestShift(before, now, [0, 0, 0], [reach, reach, reach]) <= tolerance) return [];
    return [{ joint, node, paths: differingPaths(before, now, reach, tolerance) }];
  });
}

/** Which of translation, rotation and scale two local matrices differ in, by over `tolerance` in reach. */
function differingPaths(before: Mat4, now: Mat4, reach: number, tolerance: number): ChannelPath[] {
  const [a, b] = [decompose(before), decompose(now)];
  const same = a.rotation.reduce((sum, part, at) => sum + part * (b.rotation[at] ?? 0), 0);
  const turned = 2 * Math.sqrt(Math.max(0, 1 - same * same)) * reach;
  const scaled =
    Math.max(...a.scale.map((part, at) => Math.abs((b.scale[at] ?? 1) / part - 1))) * reach;
  const paths: ChannelPath[] = [];
  if (distance(a.translation, b.translation) > tolerance) paths.push('translation');
  if (turned > tolerance) paths.push('rotation');
  if (scaled > tolerance) paths.push('scale');
  return paths;
}

/** Nodes of the weighted joints, each with a box around its vertices in the joint's own frame. */
function watchedJoints(facts: Facts): { node: number; box: { min: Vec3; max: Vec3 } }[] {
  const { rig } = facts;
  const { boxBySlot } = skinMass(facts);
  const watched: { node: number; box: { min: Vec3; max: Vec3 } }[] = [];
  rig.parts.forEach((part, index) => {
    const skin = rig.skins[part.skin];
    skin?.jointOfSlot.forEach((joint, slot) => {
      const box = boxBySlot[index]?.subarray(6 * slot, 6 * slot + 6);
      const inverseBind = mat4At(skin.inverseBind, slot);
      if (
        box === undefined ||
        !((box[0] ?? 0) <= (box[3] ?? -1)) ||
        builtMatrices(facts)[part.skin]?.[slot] == null
      )
        return;
      watched.push({
        node: rig.joints.node[joint] ?? 0,
        box: boxIn(inverseBind, vec3At(box, 0), vec3At(box, 1)),
      });
    });
  });
  if (watched.length === 0) {
    const point: Vec3 = [0, 0, 0];
    for (const node of rig.joints.node) watched.push({ node, box: { min: point, max: point } });
  }
  return watched;
}

/** The box around a box's corners after `matrix`. */
function boxIn(matrix: Mat4, min: Vec3, max: Vec3): { min: Vec3; max: Vec3 } {
  const corners = Array.from({ length: 8 }, (_, corner) =>
    transformPoint(matrix, [
      corner & 1 ? max[0] : min[0],
      corner & 2 ? max[1] : min[1],
      corner & 4 ? max[2] : min[2],
    ]),
  );
  const pick = (axis: 0 | 1 | 2, choose: (...values: number[]) => number): number =>
    choose(...corners.map((c) => c[axis]));
  return {
    min: [pick(0, Math.min), pick(1, Math.min), pick(2, Math.min)],
    max: [pick(0, Math.max), pick(1, Math.max), pick(2, Math.max)],
  };
}
