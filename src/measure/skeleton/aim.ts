import { angleBetween, cross, direction, dot, type Vec3 } from '../../rig/vec3.js';
import { type Axis, type Facts, fact, sameAxis } from '../facts.js';
import { offSpread } from '../geometry/spread.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot, isBranching, movingChildren } from './body-root.js';
import { boneDirection } from './bones.js';
import { aimAxisOf, aimJoints, fanBones } from './chains.js';
import { conventions } from './conventions.js';
import { axesNear, axisWorld, frames } from './frames.js';
import { isInsideLimb } from './inside-limb.js';
import { pairs } from './pairs.js';

/** Over this a frame aims the other way, and any axis across it could be turned about. Degrees. */
const OPPOSITE_DEGREES = 179.9;

/** How one joint's frame points at its aim joint. */
export interface Aim {
  readonly joint: number;
  readonly target: number;
  /** The aim axis that the joint should use. */
  readonly axis: Axis;
  /** Angle in degrees from the aim axis to the bone, 0 to 180. */
  readonly miss: number;
  /** The axis that squarely points along the bone instead, null when none does. */
  readonly squareOn: Axis | null;
  /** World directions of the bone and of the aim axis. */
  readonly bone: Vec3;
  readonly pointing: Vec3;
  /**
   * The axis about which the frame turns by `miss`, right-handed, so that it points along the bone:
   * a unit vector along the frame's own axes. Null where there is no such one, as with a fan.
   */
  readonly about: Vec3 | null;
  /** Whether the aim joint moves skin, itself or below. */
  readonly targetMoves: boolean;
  /** Whether the joint lies inside a limb, spine, finger or tail: no girdle, hand, foot or toe. */
  readonly inside: boolean;
}

/** An axis points along a bone squarely when within this of it. Degrees. */
export const SQUARE_DEGREES = 5;

/**
 * The aim of every joint that has an aim joint and moves skin, itself or below; in joint order.
 * Carriers are left out: a ground root has the world's axes and aims at nothing.
 */
export const aims = fact((facts): readonly Aim[] => {
  const { movesBelow } = skinMass(facts);
  const carriers = new Set(bodyRoot(facts).carriers);
  return Array.from(aimJoints(facts)).flatMap((target, joint) => {
    if (target === -1 || movesBelow[joint] === 0 || carriers.has(joint)) return [];
    return measureAim(facts, joint, target) ?? [];
  });
});

/** A child that continues a branching joint carries this share of the rig's skin at least. */
const CONTINUES_SHARE = 0.03;

/**
 * Branching joints without an aim joint (a pelvis, a chest) that point another axis than their aim
 * axis squarely at the child in the middle with most of the skin. Missing that child is no fault.
 */
export const squareBranchings = fact((facts): readonly Aim[] => {
  const { massBelow, carriers: list } = bodyRoot(facts);
  const carriers = new Set(list);
  const { partner } = pairs(facts);
  const { moves, hasMesh, total } = skinMass(facts);
  return Array.from(aimJoints(facts)).flatMap((target, joint) => {
    if (target !== -1 || partner[joint] !== -1 || moves[joint] === 0) return [];
    if (carriers.has(joint) || !isBranching(facts, joint)) return [];
    const [next] = movingChildren(facts, joint)
      .filter((child) => partner[child] === -1 && movingChildren(facts, child).length > 0)
      .sort((a, b) => (massBelow[b] ?? 0) - (massBelow[a] ?? 0));
    if (next === undefined) return [];
    if (hasMesh && (massBelow[next] ?? 0) < CONTINUES_SHARE * total) return [];
    const aim = measureAim(facts, joint, next);
    return aim?.squareOn ? [aim] : [];
  });
});

/** The rig's up axis along a joint's own axes: a half turn about it leaves it where it points. */
function upAxis(facts: Facts): Vec3 | null {
  const { up } = conventions(facts);
  return up === null
    ? null
    : [Number(up.index === 0), Number(up.index === 1), Number(up.index === 2)];
}

/** The axis of the smallest turn from one world direction to another, along a joint's own axes; of two, the up axis. */
function turnAxis(facts: Facts, joint: number, from: Vec3, to: Vec3): Vec3 | null {
  if (angleBetween(from, to) > OPPOSITE_DEGREES) return upAxis(facts);
  const about = direction(cross(from, to));
  const [x, y, z] = frames(facts)[joint] ?? [];
  if (about === null || !x || !y || !z) return null;
  // In a mirrored frame a right-handed turn is a left-handed one.
  if (dot(cross(x, y), z) < 0) return null;
  return [dot(about, x), dot(about, y), dot(about, z)];
}

function measureAim(facts: Facts, joint: number, target: number): Aim | null {
  const axis = aimAxisOf(facts, joint);
  const bone = boneDirection(facts, joint, target);
  if (axis === null || bone === null) return null;
  const pointing = axisWorld(facts, joint, axis);
  const square = axesNear(facts, joint, bone, SQUARE_DEGREES).find((other) => {
    const off = angleBetween(axisWorld(facts, joint, other), bone);
    return !sameAxis(other, axis) && off <= SQUARE_DEGREES;
  });
  const whole = angleBetween(pointing, bone);
  // A hand may aim anywhere into its fan instead of at one finger.
  const miss = Math.min(whole, offSpread(pointing, fanBones(facts, joint)));
  return {
    joint,
    target,
    axis,
    miss,
    about: miss < whole ? null : turnAxis(facts, joint, pointing, bone),
    squareOn: square ?? null,
    bone,
    pointing,
    targetMoves: skinMass(facts).movesBelow[target] === 1,
    inside: isInsideLimb(facts, joint, target),
  };
}
