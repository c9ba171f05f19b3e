import { angleBetween, carry, signedAngle } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { skinDirection } from '../skin/skin-centre.js';
import { skinMass } from '../skin/skin-mass.js';
import { aimAxisOf, aimJoints } from './chains.js';
import { conventions } from './conventions.js';
import { isEye } from './eyes.js';
import { axisWorld, frameAngle, frames, squareTo } from './frames.js';

/** The frame of one end joint against its parent's. */
export interface EndJoint {
  readonly joint: number;
  readonly parent: number;
  readonly weighted: boolean;
  /**
   * How far it was left turned, in degrees: its roll, once the parent's frame is carried along to where it
   * aims. Pitch is no fault.
   */
  readonly turn: number;
  /** `square`: a weighted joint that sits squarely on other axes than its parent; `turn` is then whole. */
  readonly left: 'rolled' | 'square';
}

/** Square means within this of quarter and half turns. Degrees. */
const SQUARE_DEGREES = 1;
/** An end joint that points at its own skin this well was pointed there. Degrees. */
const AT_SKIN_DEGREES = 45;
/** A weighted joint that aims off its parent's bone by more points where it likes: it has no roll. Degrees. */
const ROLL_NEEDS_AIM_DEGREES = 135;
/** Roll that a joint pointed at its own skin may have before it counts as squarely turned. Degrees. */
const POINTED_ROLL_DEGREES = 45;

/** A smaller roll is rounding. Degrees. */
const ROUNDING_DEGREES = 0.1;

/**
 * End joints below a joint that moves skin. An idle tip should stand as its parent does. A weighted one
 * may point where it likes, but should have its parent's up axis carried along, and not sit squarely on
 * other axes, unless it points at its own skin. Eyes (joints in the middle of their own skin) turn by
 * themselves and are left out.
 */
export const endJoints = fact((facts): readonly EndJoint[] => {
  const { joints } = facts.rig;
  const { moves } = skinMass(facts);
  const next = aimJoints(facts);
  const list: EndJoint[] = [];
  for (let joint = 0; joint < joints.count; joint++) {
    const parent = joints.parent[joint] ?? -1;
    if ((joints.children[joint] ?? []).length > 0 || parent === -1 || moves[parent] === 0) continue;
    // What is hung on beside a chain (an eye, a socket, a control) is not the chain's end.
    if (next[parent] !== joint) continue;
    const [own, above] = [frames(facts)[joint], frames(facts)[parent]];
    if (own === undefined || above === undefined) continue;
    const weighted = moves[joint] === 1;
    const roll = rollAgainst(facts, joint, parent);
    const square = weighted && isSquarelyTurned(facts, joint, parent, roll ?? 0);
    // Its skin is only looked at where something is to be told.
    if ((square || Math.abs(roll ?? 0) > ROUNDING_DEGREES) && isEye(facts, joint)) continue;
    list.push({
      joint,
      parent,
      weighted,
      turn: square ? frameAngle(above, own) : Math.abs(roll ?? 0),
      left: square ? 'square' : 'rolled',
    });
  }
  return list;
});

function isSquarelyTurned(facts: Facts, joint: number, parent: number, roll: number): boolean {
  const [own, above] = [frames(facts)[joint], frames(facts)[parent]];
  if (own === undefined || above === undefined) return false;
  if (squareTo(above, own, SQUARE_DEGREES) !== 'turned') return false;
  return !pointsAtSkin(facts, joint) && Math.abs(roll) <= POINTED_ROLL_DEGREES;
}

function pointsAtSkin(facts: Facts, joint: number): boolean {
  const axis = aimAxisOf(facts, joint);
  const way = skinDirection(facts, joint);
  return (
    axis !== null &&
    way !== null &&
    angleBetween(axisWorld(facts, joint, axis), way) <= AT_SKIN_DEGREES
  );
}

/**
 * The roll left in degrees when the parent's up axis is carried along from where it aims to where the
 * joint aims; null where the joint aims so far off that this says nothing.
 */
function rollAgainst(facts: Facts, joint: number, parent: number): number | null {
  const { up } = conventions(facts);
  const [axis, axisAbove] = [aimAxisOf(facts, joint), aimAxisOf(facts, parent)];
  if (up === null || axis === null || axisAbove === null) return null;
  const aimAbove = axisWorld(facts, parent, axisAbove);
  const aim = axisWorld(facts, joint, axis);
  if (angleBetween(aimAbove, aim) > ROLL_NEEDS_AIM_DEGREES) return null;
  const carried = carry(axisWorld(facts, parent, up), aimAbove, aim);
  return signedAngle(carried, axisWorld(facts, joint, up), aim);
}
