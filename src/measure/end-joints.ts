import { angleBetween, carry, direction, signedAngle, subtract, type Vec3 } from '../rig/vec3.js';
import { bindMesh } from './bind-mesh.js';
import { bindPose } from './bind-pose.js';
import { boneDirection } from './bones.js';
import { aimAxisOf, aimJoints } from './chains.js';
import { conventions } from './conventions.js';
import { type Facts, fact } from './facts.js';
import { axisWorld, frameAngle, frames, squareTo } from './frames.js';
import { skinMass } from './skin-mass.js';

/** The frame of one end joint against its parent's. */
export interface EndJoint {
  readonly joint: number;
  readonly parent: number;
  readonly weighted: boolean;
  /** Angle in degrees of the turn from the parent's frame to its own. */
  readonly turn: number;
  /** How it was left turned; null when it stands as its parent does or where it likes. */
  readonly left: 'off its parent' | 'squarely off its parent' | 'on the world axes' | null;
}

/** Square means within this of quarter and half turns. Degrees. */
const SQUARE_DEGREES = 1;
/** An end joint that points at its own skin this well was pointed there. Degrees. */
const AT_SKIN_DEGREES = 45;
/** Roll against the parent that an end joint pointed at its skin may have. Degrees. */
const ROLL_DEGREES = 45;

/**
 * End joints below a joint that moves skin. An unweighted tip should stand as its parent does; a
 * weighted end joint may point where it likes, but one that sits squarely on other axes than its
 * parent, or on the world's where its parent does not, was left as it was made, unless it points at
 * its own skin with its up axis carried along (a foot at a right angle to its shin).
 */
export const endJoints = fact((facts): readonly EndJoint[] => {
  const { joints } = facts.rig;
  const { moves } = skinMass(facts);
  const next = aimJoints(facts);
  const list: EndJoint[] = [];
  for (let joint = 0; joint < joints.count; joint++) {
    const parent = joints.parent[joint] ?? -1;
    if ((joints.children[joint] ?? []).length > 0 || parent === -1 || moves[parent] === 0) continue;
    const weighted = moves[joint] === 1;
    // Sockets and controls beside the next joint of a chain are nobody's tip.
    if (!weighted && next[parent] !== joint) continue;
    const [own, above] = [frames(facts)[joint], frames(facts)[parent]];
    if (own === undefined || above === undefined) continue;
    const turn = frameAngle(above, own);
    list.push({
      joint,
      parent,
      weighted,
      turn,
      left: weighted ? leftTurned(facts, joint, parent) : 'off its parent',
    });
  }
  return list;
});

function leftTurned(facts: Facts, joint: number, parent: number): EndJoint['left'] {
  const [own, above] = [frames(facts)[joint], frames(facts)[parent]];
  if (own === undefined || above === undefined) return null;
  const toParent = squareTo(above, own, SQUARE_DEGREES);
  const onWorld =
    squareTo(WORLD, own, SQUARE_DEGREES) !== null &&
    squareTo(WORLD, above, SQUARE_DEGREES) === null;
  if (toParent !== 'turned' && !onWorld) return null;
  if (pointsAtSkin(facts, joint) && rollAgainst(facts, joint, parent) <= ROLL_DEGREES) return null;
  return toParent === 'turned' ? 'squarely off its parent' : 'on the world axes';
}

const WORLD = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
] as const;

function pointsAtSkin(facts: Facts, joint: number): boolean {
  const axis = aimAxisOf(facts, joint);
  const centre = skinCentre(facts, joint);
  const place = bindPose(facts).places[joint];
  if (axis === null || centre === null || place === undefined) return false;
  const way = direction(subtract(centre, place));
  return way !== null && angleBetween(axisWorld(facts, joint, axis), way) <= AT_SKIN_DEGREES;
}

/** Size of the roll left when the parent's up axis is carried along to the joint's aim. Degrees. */
function rollAgainst(facts: Facts, joint: number, parent: number): number {
  const { up } = conventions(facts);
  const [axis, axisAbove] = [aimAxisOf(facts, joint), aimAxisOf(facts, parent)];
  if (up === null || axis === null || axisAbove === null) return 0;
  const aimAbove = boneDirection(facts, parent, joint) ?? axisWorld(facts, parent, axisAbove);
  const aim = axisWorld(facts, joint, axis);
  const carried = carry(axisWorld(facts, parent, up), aimAbove, aim);
  return Math.abs(signedAngle(carried, axisWorld(facts, joint, up), aim));
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
