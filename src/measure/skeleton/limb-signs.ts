import { angleBetween } from '../../rig/vec3.js';
import { ALL_AXES, type Axis, type Facts } from '../facts.js';
import { boneDirection } from './bones.js';
import { axisWorld } from './frames.js';
import { pairs } from './pairs.js';

/** The aim axis of joints in the middle, on the left and on the right. */
export interface ThreeSides {
  readonly middle: Axis;
  readonly left: Axis;
  readonly right: Axis;
}

/** A bone votes for an axis within this angle of it: half a quarter turn, so for one axis only. */
const VOTE_DEGREES = 45;
/** Joints of a limb that must vote for the other sign before it counts as its own convention. */
const LIMB_VOTERS = 2;

/**
 * Limbs whose joints mostly keep to the other sign of their side's aim axis. A limb begins at a sided
 * joint below one in the middle; both limbs of a pair must keep to it, so that one leg built backwards
 * is still a fault. -1 for their joints, 1 for all others.
 */
export function limbSigns(facts: Facts, aim: ThreeSides): Int8Array {
  const { side, partner } = pairs(facts);
  const { parent, count } = facts.rig.joints;
  const limbOf = new Int32Array(count).fill(-1);
  for (let joint = 0; joint < count; joint++) {
    const above = parent[joint] ?? -1;
    if (above !== -1 && limbOf[above] !== -1) limbOf[joint] = limbOf[above] ?? -1;
    else if (side[joint] !== null && partner[joint] !== -1) limbOf[joint] = joint;
  }
  // Votes of each limb for its side's aim axis and against, by the sign.
  const [along, against] = [new Int32Array(count), new Int32Array(count)];
  for (let joint = 0; joint < count; joint++) {
    const limb = limbOf[joint] ?? -1;
    const own = limb === -1 ? null : axisAlong(facts, joint, onlyGoingOn(facts, joint));
    const expected = aim[side[joint] ?? 'middle'];
    if (own === null || own.index !== expected.index) continue;
    const tally = own.sign === expected.sign ? along : against;
    tally[limb] = (tally[limb] ?? 0) + 1;
  }
  const keeps = (limb: number): boolean =>
    (against[limb] ?? 0) >= LIMB_VOTERS && (against[limb] ?? 0) > (along[limb] ?? 0);
  const sign = new Int8Array(count).fill(1);
  for (let joint = 0; joint < count; joint++) {
    const limb = limbOf[joint] ?? -1;
    if (limb !== -1 && keeps(limb) && keeps(partner[limb] ?? -1)) sign[joint] = -1;
  }
  return sign;
}

/** The axis of a joint that runs nearest to the bone to a child, null where it lies between axes. */
export function axisAlong(facts: Facts, joint: number, child: number): Axis | null {
  const bone = child === -1 ? null : boneDirection(facts, joint, child);
  if (bone === null) return null;
  const axis = ALL_AXES.find(
    (item) => angleBetween(axisWorld(facts, joint, item), bone) < VOTE_DEGREES,
  );
  return axis ?? null;
}

/** The only child joint, or the only one that goes on where the others are ends (twists); else -1. */
function onlyGoingOn({ rig }: Facts, joint: number): number {
  const { children } = rig.joints;
  const own = children[joint] ?? [];
  const on = own.filter((child) => (children[child] ?? []).length > 0);
  const only = own.length === 1 ? own[0] : on.length === 1 ? on[0] : undefined;
  return only ?? -1;
}
