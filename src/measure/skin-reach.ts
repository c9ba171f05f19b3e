import { type Mat4, transformPoint } from '../rig/mat4.js';
import type { Vec3 } from '../rig/vec3.js';
import { bindPose } from './bind-pose.js';
import { type Facts, fact } from './facts.js';
import { distanceToSegment } from './segment-distance.js';
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
    const boxes = boxBySlot[index];
    if (matrix === undefined || boxes === undefined) return [];
    return Array.from(jointOfSlot).flatMap((joint, slot) => {
      const box = boxes.subarray(6 * slot, 6 * slot + 6);
      if (!((box[0] ?? 0) <= (box[3] ?? -1))) return [];
      return [{ joint, part: index, slot, corners: cornersOf(box, matrix) }];
    });
  });
});

function cornersOf(box: Float64Array, matrix: Mat4): Vec3[] {
  const [x0 = 0, y0 = 0, z0 = 0, x1 = 0, y1 = 0, z1 = 0] = box;
  return Array.from({ length: 8 }, (_, corner) =>
    transformPoint(matrix, [corner & 1 ? x1 : x0, corner & 2 ? y1 : y0, corner & 4 ? z1 : z0]),
  );
}

/** The bones that belong to each joint: from it to its child joints; a point where it has none. */
export const ownBones = fact((facts): readonly (readonly (readonly [Vec3, Vec3])[])[] => {
  const { places } = bindPose(facts);
  return facts.rig.joints.children.map((children, joint) => {
    const here = places[joint] ?? [0, 0, 0];
    if (children.length === 0) return [[here, here] as const];
    return children.map((child) => [here, places[child] ?? here] as const);
  });
});

/** Distance from a point to the nearest bone of a joint; world units. */
export function distanceToBones(facts: Facts, joint: number, point: Vec3): number {
  let least = Infinity;
  for (const [from, to] of ownBones(facts)[joint] ?? [])
    least = Math.min(least, distanceToSegment(point, from, to));
  return least;
}
