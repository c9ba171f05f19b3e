import { boxAt, cornersOf } from '../../rig/box.js';
import { transformPoint } from '../../rig/mat4.js';
import { type Vec3, vec3At } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { boneTree, isBoneWithin, type NearestBone, nearestBone } from '../geometry/bone-tree.js';
import { meshNet } from '../geometry/mesh-net.js';
import { distanceToSegment } from '../geometry/segment-distance.js';
import { bindPose } from '../pose/bind-pose.js';
import { skinMass } from './skin-mass.js';

/** A box around the vertices one joint moves in one part; corners in the bind pose, world space. */
export interface Reach {
  readonly joint: number;
  readonly corners: readonly Vec3[];
}

/** Boxes around each joint's skin: they find the few joints whose vertices need a look. */
export const reaches = fact((facts): readonly Reach[] => {
  const { boxBySlot } = skinMass(facts);
  const { standing } = bindPose(facts);
  return facts.rig.parts.flatMap((part, index) => {
    const jointOfSlot = facts.rig.skins[part.skin]?.jointOfSlot ?? new Int32Array(0);
    const matrix = standing[part.skin];
    if (matrix === undefined) return [];
    return Array.from(jointOfSlot).flatMap((joint, slot) => {
      const box = boxAt(boxBySlot[index], slot);
      if (box === null) return [];
      return [{ joint, corners: cornersOf(box).map((corner) => transformPoint(matrix, corner)) }];
    });
  });
});

/** More bones of one joint are sorted: a fan of thousands would be walked for every vertex. */
const MANY = 16;

/** The bones of each joint, to its child joints, else a point; many of them also as a tree. */
const jointBones = fact((facts) => {
  const { places } = bindPose(facts);
  return facts.rig.joints.children.map((children, joint) => {
    const from = places[joint] ?? [0, 0, 0];
    const ends = children.length === 0 ? [from] : children.map((child) => places[child] ?? from);
    const bones = ends.map((to) => ({ joint, from, to }));
    const tree = bones.length > MANY && bones.every(isSomewhere) ? boneTree(bones) : null;
    return { bones, tree };
  });
});

/** World distance from a point to a joint's nearest bone, or `most` where none may be as near. */
export function distanceToBones(facts: Facts, joint: number, point: Vec3, most = Infinity): number {
  const { bones = [], tree = null } = jointBones(facts)[joint] ?? {};
  if (tree !== null) return nearestBone(tree, point, { joint, distance: most }).distance;
  let least = Infinity;
  for (const { from, to } of bones) least = Math.min(least, distanceToSegment(point, from, to));
  return least;
}

/** Whether a joint has a bone no farther from a point than `far`. */
export function isNearBones(facts: Facts, joint: number, point: Vec3, far: number): boolean {
  const { bones = [], tree = null } = jointBones(facts)[joint] ?? {};
  if (tree !== null) return isBoneWithin(tree, point, far);
  // A bone without a place counts as near: nothing is known to be far from it.
  return bones.some(({ from, to }) => !(distanceToSegment(point, from, to) > far));
}

/**
 * The bone nearest to a vertex, as numbered over all parts, of all joints that move skin; of several as
 * near, that of the first joint. Looked for once a vertex, whichever of its joints asks.
 */
export function nearestMovingBone(facts: Facts, vertex: number): NearestBone {
  const known = foundNearest(facts);
  const nearest =
    known.get(vertex) ?? nearestBone(movingBones(facts), vec3At(meshNet(facts).positions, vertex));
  known.set(vertex, nearest);
  return nearest;
}

const foundNearest = fact(() => new Map<number, NearestBone>());

const movingBones = fact((facts) => {
  const { moves } = skinMass(facts);
  const moving = jointBones(facts).filter((_, joint) => moves[joint] !== 0);
  return boneTree(moving.flatMap(({ bones }) => bones.filter(isSomewhere)));
});

function isSomewhere({ from, to }: { from: Vec3; to: Vec3 }): boolean {
  return from.every(Number.isFinite) && to.every(Number.isFinite);
}
