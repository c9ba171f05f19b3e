import { angleBetween, type Vec3 } from '../../rig/vec3.js';
import { ALL_AXES, type Axis, type Facts, fact, sameAxis } from '../facts.js';
import { offSpread } from '../geometry/spread.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot, isBranching, movingChildren } from './body-root.js';
import { boneDirection } from './bones.js';
import { aimAxisOf, aimJoints, fanBones } from './chains.js';
import { axisWorld } from './frames.js';
import { isInsideLimb } from './inside-limb.js';
import { pairs } from './pairs.js';

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
    return [
      {
        joint,
        target,
        axis,
        // A hand may aim anywhere into its fan instead of at one finger.
        miss: Math.min(angleBetween(pointing, bone), offSpread(pointing, fanBones(facts, joint))),
        squareOn: squarelyOn(facts, joint, axis, bone),
        bone,
        pointing,
        targetMoves: movesBelow[target] === 1,
        inside: isInsideLimb(facts, joint, target),
      },
    ];
  });
});

/** A child that goes on from a branching joint carries this share of the rig's skin at least. */
const GOES_ON_SHARE = 0.03;

/**
 * Joints that branch (a pelvis, a chest) and have no aim joint, with the child in the middle that goes on
 * with most of the skin, where another axis than theirs squarely points at it. Frames of such joints may
 * stand off the bone, but not on another axis.
 */
export const squareBranchings = fact((facts): readonly Aim[] => {
  const { massBelow, carriers: above } = bodyRoot(facts);
  const carriers = new Set(above);
  const { partner } = pairs(facts);
  const { moves, hasMesh, total } = skinMass(facts);
  return Array.from(aimJoints(facts)).flatMap((target, joint) => {
    const axis = aimAxisOf(facts, joint);
    if (target !== -1 || axis === null || partner[joint] !== -1) return [];
    if (moves[joint] === 0 || carriers.has(joint) || !isBranching(facts, joint)) return [];
    const [child] = movingChildren(facts, joint)
      .filter((item) => partner[item] === -1 && movingChildren(facts, item).length > 0)
      .sort((a, b) => (massBelow[b] ?? 0) - (massBelow[a] ?? 0));
    if (child === undefined) return [];
    if (hasMesh && (massBelow[child] ?? 0) < GOES_ON_SHARE * total) return [];
    const bone = boneDirection(facts, joint, child);
    const squareOn = bone === null ? null : squarelyOn(facts, joint, axis, bone);
    if (bone === null || squareOn === null) return [];
    const pointing = axisWorld(facts, joint, axis);
    const miss = angleBetween(pointing, bone);
    const aim = { joint, target: child, axis, miss, squareOn, bone, pointing };
    return [{ ...aim, targetMoves: true, inside: false }];
  });
});

/** The axis other than its own that a joint squarely points along a bone; null for none. */
function squarelyOn(facts: Facts, joint: number, axis: Axis, bone: Vec3): Axis | null {
  const square = ALL_AXES.find((item) => {
    return (
      !sameAxis(item, axis) && angleBetween(axisWorld(facts, joint, item), bone) <= SQUARE_DEGREES
    );
  });
  return square ?? null;
}
