import { angleBetween, distance } from '../rig/vec3.js';
import { bindPose } from './bind-pose.js';
import { bodyRoot, isBranching, movingChildren } from './body-root.js';
import { boneDirection, boneLengths } from './bones.js';
import { chains } from './chains.js';
import { type Facts, fact } from './facts.js';
import { skinMass } from './skin-mass.js';

/** A chain of joints hung on another joint. World units. */
export interface Limb {
  readonly joints: readonly number[];
  readonly parent: number;
  /** Distance from the parent to the first and to the last joint. */
  readonly toFirst: number;
  readonly toLast: number;
  /** Mean length of the bones within the chain. */
  readonly meanBone: number;
}

/** Bones that fold back by more than this lead to where a limb should have begun. Degrees. */
const FOLD_DEGREES = 150;

/**
 * Skin-moving chains of two joints or more that hang on another joint; and within a chain, what
 * follows a joint that folds back: a limb laid backwards can be its parent's aim joint.
 */
export const limbs = fact((facts): readonly Limb[] => {
  const { moves } = skinMass(facts);
  return chains(facts).flatMap((chain) => {
    const starts = chain.flatMap((_, place) =>
      place === 0 || foldsBack(facts, chain, place) ? [place] : [],
    );
    return starts.flatMap((start) => {
      const joints = chain.slice(start).filter((joint) => moves[joint] === 1);
      return joints[0] === chain[start] ? (measureLimb(facts, joints) ?? []) : [];
    });
  });
});

function foldsBack(facts: Facts, chain: readonly number[], place: number): boolean {
  const [above, joint, next] = [chain[place - 1], chain[place], chain[place + 1]];
  if (above === undefined || joint === undefined || next === undefined) return false;
  const [before, after] = [boneDirection(facts, above, joint), boneDirection(facts, joint, next)];
  return before !== null && after !== null && angleBetween(before, after) > FOLD_DEGREES;
}

function measureLimb(facts: Facts, joints: readonly number[]): Limb | null {
  const { places } = bindPose(facts);
  const lengths = boneLengths(facts);
  const [first, last] = [joints[0] ?? -1, joints.at(-1) ?? -1];
  const parent = facts.rig.joints.parent[first] ?? -1;
  const [base, near, far] = [places[parent], places[first], places[last]];
  if (joints.length < 2 || base === undefined || near === undefined || far === undefined)
    return null;
  const bones = joints.slice(1).map((joint) => lengths[joint] ?? 0);
  const meanBone = bones.reduce((sum, bone) => sum + bone, 0) / bones.length;
  return { joints, parent, toFirst: distance(base, near), toLast: distance(base, far), meanBone };
}

/**
 * Whether the rig begins at a tip of the tree: at most one child joint of the first joint that moves
 * skin moves any, and there are joints enough to call it a chain.
 */
export const rootIsTip = fact((facts): boolean => {
  const { first } = bodyRoot(facts);
  if (first === -1 || isBranching(facts, first)) return false;
  let count = 0;
  for (let at = first; at !== undefined && count < 3; at = movingChildren(facts, at)[0] ?? -1) {
    if (at === -1) return false;
    count++;
  }
  return count >= 3;
});
