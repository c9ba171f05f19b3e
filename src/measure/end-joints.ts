import { angleBetween, carry, signedAngle } from '../rig/vec3.js';
import { boneDirection } from './bones.js';
import { aimAxisOf, aimJoints } from './chains.js';
import { conventions } from './conventions.js';
import { type Facts, fact } from './facts.js';
import { axisWorld, frameAngle, frames, squareTo } from './frames.js';
import { skinDirection } from './skin-centre.js';
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
    // What is hung on beside a chain (an eye, a socket, a control) is not the chain's end.
    if (next[parent] !== joint) continue;
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
  const way = skinDirection(facts, joint);
  return (
    axis !== null &&
    way !== null &&
    angleBetween(axisWorld(facts, joint, axis), way) <= AT_SKIN_DEGREES
  );
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
