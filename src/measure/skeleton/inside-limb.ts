import type { Facts } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { isBranching, movingChildren } from './body-root.js';
import { boneLengths, turnAt } from './bones.js';
import { girdleJoints, upperLimbs } from './chains.js';

/** A foot turns off the shin by more degrees, and is shorter than this share of it. */
const [FOOT_DEGREES, FOOT_LENGTH] = [40, 0.6];

/**
 * Whether a joint, with the bone to its aim joint, bends with its neighbours, as in a limb, spine,
 * finger or tail: it moves skin, does not branch, and is no foot and no collarbone.
 */
export function isInsideLimb(facts: Facts, joint: number, target: number): boolean {
  if (isBranching(facts, joint) || skinMass(facts).moves[joint] === 0) return false;
  if (girdleJoints(facts)[joint] === 1 && upperLimbs(facts)[joint] === 0) return false;
  return !isFoot(facts, joint, target);
}

/** A foot: the last bone of a limb, which turns off the one before it and is much shorter. */
function isFoot(facts: Facts, joint: number, target: number): boolean {
  const above = facts.rig.joints.parent[joint] ?? -1;
  if (above === -1 || movingChildren(facts, target).length > 0) return false;
  const [shin = 0, foot = 0] = [joint, target].map((end) => boneLengths(facts)[end]);
  return foot < FOOT_LENGTH * shin && turnAt(facts, joint, target) >= FOOT_DEGREES;
}
