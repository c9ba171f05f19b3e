import { angleBetween, type Vec3 } from '../rig/vec3.js';
import { bodyRoot, isBranching, movingChildren } from './body-root.js';
import { boneDirection } from './bones.js';
import { aimAxisOf, aimJoints, fanBones, girdleJoints, isUpperLimb } from './chains.js';
import { type Axis, type Facts, fact, sameAxis } from './facts.js';
import { axisWorld } from './frames.js';
import { pairs } from './pairs.js';
import { skinMass } from './skin-mass.js';
import { offSpread } from './spread.js';

/** How one joint's frame points at its aim joint. */
export interface Aim {
  readonly joint: number;
  readonly target: number;
  /** The aim axis the joint is held to. */
  readonly axis: Axis;
  /** Angle in degrees from the aim axis to the bone, 0 to 180. */
  readonly miss: number;
  /** The axis that squarely points along the bone instead, null when none does. */
  readonly squareOn: Axis | null;
  /** World directions of the bone and of the aim axis. */
  readonly bone: Vec3;
  readonly pointing: Vec3;
  /** Whether the aim joint moves skin, itself or below. */
  readonly targetMoves: boolean;
  /** Whether the joint lies inside a limb, spine, finger or tail: no girdle, hand, foot or toe. */
  readonly inside: boolean;
}

/** An axis points along a bone squarely when within this of it. Degrees. */
export const SQUARE_DEGREES = 5;

/**
 * The aim of every joint that has an aim joint and moves skin, itself or below; in joint order.
 * Carriers are exempt: a ground root stands on the world's axes and aims at nothing.
 */
export const aims = fact((facts): readonly Aim[] => {
  const { movesBelow } = skinMass(facts);
  const carriers = new Set(bodyRoot(facts).carriers);
  return Array.from(aimJoints(facts)).flatMap((target, joint) => {
    const axis = aimAxisOf(facts, joint);
    if (target === -1 || axis === null || movesBelow[joint] === 0 || carriers.has(joint)) return [];
    const bone = boneDirection(facts, joint, target);
    if (bone === null) return [];
    const pointing = axisWorld(facts, joint, axis);
    const squareOn = SIGNED.find((item) => {
      return (
        !sameAxis(item, axis) && angleBetween(axisWorld(facts, joint, item), bone) <= SQUARE_DEGREES
      );
    });
    return [
      {
        joint,
        target,
        axis,
        // A hand may aim anywhere into its fan instead of at one finger.
        miss: Math.min(angleBetween(pointing, bone), offSpread(pointing, fanBones(facts, joint))),
        squareOn: squareOn ?? null,
        bone,
        pointing,
        targetMoves: movesBelow[target] === 1,
        inside: isInsideLimb(facts, joint, target),
      },
    ];
  });
});

/** A foot: the last bone of a paired limb turns off the one before it by more than this. Degrees. */
const FOOT_DEGREES = 40;

/**
 * Whether a joint's bone is one that bends with its neighbours: not that of a collarbone or of another
 * joint whose limb begins behind it, of a hand or other joint that branches, nor of a foot.
 */
function isInsideLimb(facts: Facts, joint: number, target: number): boolean {
  if (isBranching(facts, joint) || (girdleJoints(facts)[joint] === 1 && !isUpperLimb(facts, joint)))
    return false;
  const { parent } = facts.rig.joints;
  const above = parent[joint] ?? -1;
  if (above === -1 || pairs(facts).partner[joint] === -1) return true;
  const goesOn = movingChildren(facts, target).length > 0;
  const [before, after] = [boneDirection(facts, above, joint), boneDirection(facts, joint, target)];
  return goesOn || before === null || after === null || angleBetween(before, after) < FOOT_DEGREES;
}

const SIGNED: readonly Axis[] = ([0, 1, 2] as const).flatMap((index) => [
  { index, sign: 1 as const },
  { index, sign: -1 as const },
]);
