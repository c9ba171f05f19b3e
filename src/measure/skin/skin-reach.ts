import { boxAt, cornersOf } from '../../rig/box.js';
import { transformPoint } from '../../rig/mat4.js';
import type { Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import {
  type BoneTree,
  boneTree,
  isBoneWithin,
  type NearestBone,
  nearestBone,
  type OwnedBone,
} from '../geometry/bone-tree.js';
import { distanceToSegment } from '../geometry/segment-distance.js';
import { bindPose } from '../pose/bind-pose.js';
import { skinMass } from './skin-mass.js';

/** A box around the vertices one joint moves in one part; corners in the bind pose, world space. */
export interface Reach {
  readonly joint: number;
  readonly part: number;
  readonly slot: number;
  readonly corners: readonly Vec3[];
}

/**
 * Where each joint's skin lies at most. Rules about single vertices look at the few joints whose box
 * leaves the place their skin should be in, and at no vertex of all the others.
 */
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
      const corners = cornersOf(box).map((corner) => transformPoint(matrix, corner));
      return [{ joint, part: index, slot, corners }];
    });
  });
});

/** The bones that belong to each joint: from it to its child joints; a point where it has none. */
export const ownBones = fact((facts): readonly (readonly (readonly [Vec3, Vec3])[])[] => {
  const { places } = bindPose(facts);
  return facts.rig.joints.children.map((children, joint) => {
    const here = places[joint] ?? [0, 0, 0];
    if (children.length === 0) return [[here, here] as const];
    return children.map((child) => [here, places[child] ?? here] as const);
  });
});

/** A joint of more bones has them sorted: a fan of thousands would be gone through for every vertex. */
const MANY = 16;

/**
 * Distance from a point to the nearest bone of a joint; world units.
 *
 * @param within What is no nearer than this need not be looked for, and may be told as this far.
 */
export function distanceToBones(facts: Facts, joint: number, point: Vec3, within?: number): number {
  const bones = ownBones(facts)[joint] ?? [];
  const tree = bones.length > MANY ? treeOf(facts, joint) : null;
  if (tree !== null)
    return nearestBone(tree, point, { joint, distance: within ?? Infinity }).distance;
  let least = Infinity;
  for (const [from, to] of bones) least = Math.min(least, distanceToSegment(point, from, to));
  return least;
}

/** Whether a joint has a bone no farther from a point than `far`. */
export function isNearBones(facts: Facts, joint: number, point: Vec3, far: number): boolean {
  const bones = ownBones(facts)[joint] ?? [];
  const tree = bones.length > MANY ? treeOf(facts, joint) : null;
  if (tree !== null) return isBoneWithin(tree, point, far);
  // A bone at no place counts as near: nothing is known to be far from it.
  return bones.some(([from, to]) => !(distanceToSegment(point, from, to) > far));
}

/** The bone nearest to a point of all joints that move skin, of several as near that of the first joint. */
export function nearestMovingBone(facts: Facts, point: Vec3): NearestBone {
  return nearestBone(movingBones(facts), point);
}

const movingBones = fact((facts): BoneTree => {
  const { moves } = skinMass(facts);
  const bones = ownBones(facts).flatMap((own, joint) =>
    moves[joint] === 0 ? [] : owned(joint, own),
  );
  // None can be nearest where it is at no place.
  return boneTree(bones.filter(isSomewhere));
});

const trees = fact((): Map<number, BoneTree | null> => new Map());

/** Null where a bone is at no place. */
function treeOf(facts: Facts, joint: number): BoneTree | null {
  const known = trees(facts).get(joint);
  if (known !== undefined) return known;
  const bones = owned(joint, ownBones(facts)[joint] ?? []);
  const made = bones.every(isSomewhere) ? boneTree(bones) : null;
  trees(facts).set(joint, made);
  return made;
}

function owned(joint: number, bones: readonly (readonly [Vec3, Vec3])[]): OwnedBone[] {
  return bones.map(([from, to]) => ({ joint, from, to }));
}

function isSomewhere({ from, to }: OwnedBone): boolean {
  return from.every(Number.isFinite) && to.every(Number.isFinite);
}
