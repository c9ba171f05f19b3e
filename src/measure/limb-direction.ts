import { distance } from '../rig/vec3.js';
import { bindPose } from './bind-pose.js';
import { bodyRoot, isBranching, movingChildren } from './body-root.js';
import { boneLengths } from './bones.js';
import { chains } from './chains.js';
import { fact } from './facts.js';
import { skinMass } from './skin-mass.js';

/** A chain of joints hung on a joint that does not aim at it. World units. */
export interface Limb {
  readonly joints: readonly number[];
  readonly parent: number;
  /** Distance from the parent to the first and to the last joint. */
  readonly toFirst: number;
  readonly toLast: number;
  /** Mean length of the bones within the chain. */
  readonly meanBone: number;
}

/** Skin-moving chains of two joints or more that hang on another joint. */
export const limbs = fact((facts): readonly Limb[] => {
  const { moves } = skinMass(facts);
  const { places } = bindPose(facts);
  const lengths = boneLengths(facts);
  return chains(facts).flatMap((chain) => {
    const joints = chain.filter((joint) => moves[joint] === 1);
    const [first, last] = [joints[0] ?? -1, joints.at(-1) ?? -1];
    const parent = facts.rig.joints.parent[first] ?? -1;
    const [base, near, far] = [places[parent], places[first], places[last]];
    if (
      joints.length < 2 ||
      first !== chain[0] ||
      base === undefined ||
      near === undefined ||
      far === undefined
    )
      return [];
    const bones = joints.slice(1).map((joint) => lengths[joint] ?? 0);
    const meanBone = bones.reduce((sum, bone) => sum + bone, 0) / bones.length;
    return [
      { joints, parent, toFirst: distance(base, near), toLast: distance(base, far), meanBone },
    ];
  });
});

/**
 * Whether the body root is a tip of the tree: at most one of its child joints moves skin, and there
 * are joints enough to call it a chain.
 */
export const rootIsTip = fact((facts): boolean => {
  const { joint } = bodyRoot(facts);
  if (joint === -1 || isBranching(facts, joint)) return false;
  let count = 0;
  for (let at = joint; at !== undefined && count < 3; at = movingChildren(facts, at)[0] ?? -1) {
    if (at === -1) return false;
    count++;
  }
  return count >= 3;
});
