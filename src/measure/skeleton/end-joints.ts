import { angleBetween } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { skinDirection } from '../skin/skin-centre.js';
import { skinMass } from '../skin/skin-mass.js';
import { aimAxisOf, aimJoints } from './chains.js';
import { conventions } from './conventions.js';
import { isEye } from './eyes.js';
import { axisWorld, frameAngle, frames, squareTo } from './frames.js';
import { endRoll } from './roll.js';

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
    const roll = Math.abs(rollAgainst(facts, joint, parent) ?? 0);
    const square =
      weighted &&
      roll <= POINTED_ROLL_DEGREES &&
      squareTo(above, own, SQUARE_DEGREES) === 'turned' &&
      !pointsAtSkin(facts, joint);
    // Its skin is only looked at where something is to be told.
    if ((square || roll > ROUNDING_DEGREES) && isEye(facts, joint)) continue;
    const turn = square ? frameAngle(above, own) : roll;
    list.push({ joint, parent, weighted, turn, left: square ? 'square' : 'rolled' });
  }
  return list;
});

function pointsAtSkin(facts: Facts, joint: number): boolean {
  const axis = aimAxisOf(facts, joint);
  const way = skinDirection(facts, joint);
  return (
    axis !== null &&
    way !== null &&
    angleBetween(axisWorld(facts, joint, axis), way) <= AT_SKIN_DEGREES
  );
}

/** The roll of an end joint against its parent's own frame. Degrees. */
function rollAgainst(facts: Facts, joint: number, parent: number): number | null {
  const [axis, { up }] = [aimAxisOf(facts, parent), conventions(facts)];
  if (axis === null || up === null) return null;
  return endRoll(facts, joint, axisWorld(facts, parent, axis), axisWorld(facts, parent, up));
}
