import { add, angleBetween, direction, type Vec3 } from '../rig/vec3.js';
import { bodyRoot } from './body-root.js';
import { boneDirection } from './bones.js';
import { aimAxisOf, aimJoints, fanOf } from './chains.js';
import { type Axis, type Facts, fact, sameAxis } from './facts.js';
import { axisWorld } from './frames.js';
import { skinMass } from './skin-mass.js';

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
        miss: Math.min(angleBetween(pointing, bone), fanMiss(facts, joint, pointing)),
        squareOn: squareOn ?? null,
        bone,
        pointing,
        targetMoves: movesBelow[target] === 1,
      },
    ];
  });
});

/** A hand may aim at the middle of its fan instead of at one finger. Infinity without a fan. */
function fanMiss(facts: Facts, joint: number, pointing: Vec3): number {
  const bones = fanOf(facts, joint).flatMap((child) => [boneDirection(facts, joint, child)]);
  const sum = bones.reduce<Vec3>(
    (total, bone) => (bone === null ? total : add(total, bone)),
    [0, 0, 0],
  );
  const mean = direction(sum);
  return mean === null ? Infinity : angleBetween(pointing, mean);
}

const SIGNED: readonly Axis[] = ([0, 1, 2] as const).flatMap((index) => [
  { index, sign: 1 as const },
  { index, sign: -1 as const },
]);
