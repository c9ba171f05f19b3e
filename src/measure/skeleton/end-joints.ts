import { angleBetween } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { skinDirection } from '../skin/skin-centre.js';
import { skinMass } from '../skin/skin-mass.js';
import { aimAndUp, aimJoints } from './chains.js';
import { isEye } from './eyes.js';
import { frameAngle, frames, squareTo } from './frames.js';
import { endRoll } from './roll.js';

/** The frame of one end joint against its parent's. */
export interface EndJoint {
  readonly joint: number;
  readonly parent: number;
  readonly weighted: boolean;
  /** Its roll, once the parent's frame is carried to where it aims: pitch is no fault. Degrees. */
  readonly turn: number;
  /** Its roll with its sign, right-handed about its own aim axis. Degrees. */
  readonly roll: number;
  /** `square`: its axes lie squarely on other axes of its parent; `turn` is then the whole turn. */
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
 * End joints below a joint that moves skin. An idle tip should be turned as its parent is. A
 * weighted one may point anywhere, but should have its parent's up axis carried along, and not lie
 * squarely on other axes, unless it points at its skin. Eyes turn by themselves and are left out.
 */
export const endJoints = fact((facts): readonly EndJoint[] => {
  const { children, parent: parents } = facts.rig.joints;
  const { moves } = skinMass(facts);
  const next = aimJoints(facts);
  return Array.from(parents).flatMap((parent, joint): EndJoint[] => {
    if ((children[joint] ?? []).length > 0 || parent === -1 || moves[parent] === 0) return [];
    // What is hung on beside a chain (an eye, a socket, a control) is not the chain's end.
    if (next[parent] !== joint) return [];
    const [frame, above] = [frames(facts)[joint], frames(facts)[parent]];
    if (frame === undefined || above === undefined) return [];
    const weighted = moves[joint] === 1;
    const axes = aimAndUp(facts, parent);
    const signed = (axes && endRoll(facts, joint, axes.aim, axes.up)) ?? 0;
    const roll = Math.abs(signed);
    const isSquare =
      weighted &&
      roll <= POINTED_ROLL_DEGREES &&
      squareTo(above, frame, SQUARE_DEGREES) === 'turned' &&
      !pointsAtSkin(facts, joint);
    // Its skin is only looked at where there is something to report.
    if ((isSquare || roll > ROUNDING_DEGREES) && isEye(facts, joint)) return [];
    return isSquare
      ? [{ joint, parent, weighted, turn: frameAngle(above, frame), roll: signed, left: 'square' }]
      : [{ joint, parent, weighted, turn: roll, roll: signed, left: 'rolled' }];
  });
});

function pointsAtSkin(facts: Facts, joint: number): boolean {
  const [axes, toSkin] = [aimAndUp(facts, joint), skinDirection(facts, joint)];
  if (axes === null || toSkin === null) return false;
  return angleBetween(axes.aim, toSkin) <= AT_SKIN_DEGREES;
}
