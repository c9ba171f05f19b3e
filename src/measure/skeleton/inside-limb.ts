import { type Facts, fact } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot, isBranching, movingChildren } from './body-root.js';
import { boneLengths, turnAt } from './bones.js';
import { aimJoints, girdleJoints, inFans, upperLimbs } from './chains.js';
import { pairs } from './pairs.js';

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

/** A collarbone is shorter than this share of the upper arm. */
const COLLARBONE = 0.6;

/**
 * Joints within a limb, a neck, a finger or a tail, where the form bends about its middle: they move
 * skin and have a joint below them. Left out are carriers, joints that branch, and joints where
 * something leaves the body (the first of a limb or an ear, the shoulder below a collarbone, each
 * finger of a fan), since there a cut goes through both (common practice).
 */
export const innerJoints = fact((facts): readonly number[] => {
  const { children } = facts.rig.joints;
  const { moves } = skinMass(facts);
  const carriers = new Set(bodyRoot(facts).carriers);
  return children.flatMap((below, joint) => {
    if (below.length === 0 || moves[joint] === 0 || carriers.has(joint)) return [];
    return isBranching(facts, joint) || leavesBody(facts, joint) ? [] : [joint];
  });
});

function leavesBody(facts: Facts, joint: number): boolean {
  const { parent } = facts.rig.joints;
  const next = aimJoints(facts);
  const above = parent[joint] ?? -1;
  if (isBranching(facts, above)) return next[above] !== joint || inFans(facts)[joint] === 1;
  const body = parent[above] ?? -1;
  const isFirst = isBranching(facts, body) && next[body] !== above;
  if (!isFirst || pairs(facts).partner[above] === -1) return false;
  const [into = 0, out = 0] = [joint, next[joint] ?? -1].map((end) => boneLengths(facts)[end]);
  return into < COLLARBONE * out;
}
