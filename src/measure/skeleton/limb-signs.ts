import { angleBetween } from '../../rig/vec3.js';
import type { Axis, Facts } from '../facts.js';
import type { Side } from '../names/sides.js';
import { boneDirection } from './bones.js';
import { axesNear, axisWorld } from './frames.js';
import { pairs } from './pairs.js';

/** The aim axis of joints in the middle, on the left and on the right. */
export type ThreeSides = Readonly<Record<'middle' | Side, Axis>>;

/** A bone votes for an axis within this angle of it: half a quarter turn, so for one axis only. */
const VOTE_DEGREES = 45;
/** Joints of a limb that must vote for the other sign before it counts as its own convention. */
const LIMB_VOTERS = 2;

/**
 * -1 for the joints of limbs that mostly keep to the other sign of their side's aim axis (+X in the
 * arms, -X in the legs), 1 for all others. A limb begins at a sided joint below one in the middle;
 * both limbs of a pair must keep to it, so that one leg built backwards is still a fault.
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
    const axis = limb === -1 ? null : axisAlong(facts, joint, onlyContinuing(facts, joint));
    const expected = aim[side[joint] ?? 'middle'];
    if (axis?.index !== expected.index) continue;
    const tally = axis.sign === expected.sign ? along : against;
    tally[limb] = (tally[limb] ?? 0) + 1;
  }
  const keeps = (limb: number): boolean =>
    (against[limb] ?? 0) >= LIMB_VOTERS && (against[limb] ?? 0) > (along[limb] ?? 0);
  return Int8Array.from(limbOf, (limb) => (keeps(limb) && keeps(partner[limb] ?? -1) ? -1 : 1));
}

/** The axis of a joint that runs nearest to the bone to a child, null where it lies between axes. */
export function axisAlong(facts: Facts, joint: number, child: number): Axis | null {
  const bone = boneDirection(facts, joint, child);
  if (bone === null) return null;
  const isNear = (axis: Axis): boolean =>
    angleBetween(axisWorld(facts, joint, axis), bone) < VOTE_DEGREES;
  return axesNear(facts, joint, bone, VOTE_DEGREES).find(isNear) ?? null;
}

/** The only child joint, or the only one that is no end where others are ends (twists); or -1. */
function onlyContinuing({ rig }: Facts, joint: number): number {
  const { children } = rig.joints;
  const below = children[joint] ?? [];
  const inner = below.filter((child) => (children[child] ?? []).length > 0);
  const [only = -1, ...others] = below.length === 1 ? below : inner;
  return others.length === 0 ? only : -1;
}
