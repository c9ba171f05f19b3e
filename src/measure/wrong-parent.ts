import { distance } from '../rig/vec3.js';
import { size } from './bind-mesh.js';
import { bodyRoot, movingChildren } from './body-root.js';
import { bonePose } from './bone-pose.js';
import { type Facts, fact } from './facts.js';
import { branchOf, edgesOut, fleshParent } from './flesh.js';
import { pairs } from './pairs.js';
import { rigidJoints } from './rigid-skin.js';
import { skinMass } from './skin-mass.js';
import { distanceToBones } from './skin-reach.js';

/** A branch that hangs on another joint than the one its flesh grows from. */
export interface WrongParent {
  /** The first joint of the branch. */
  readonly joint: number;
  readonly parent: number;
  /** The joint whose flesh adjoins it most. */
  readonly right: number;
  /** From the joint to its parent, and to the bones of the right one. World units. */
  readonly toParent: number;
  readonly toRight: number;
  /** Whether more than its first joint moves skin: a limb, not a single foot. */
  readonly limb: boolean;
}

/** A parent as near as this to its child may well be the middle of a body. Share of size. */
const FAR_SHARE = 0.2;
/** A limb that is a piece of mesh of its own grows from bones that lie as near as this. Share of size. */
const NEAR_SHARE = 0.1;
/** And a wrong one is this many times as far as the right one. */
const TIMES = 2;

/**
 * Branches hung on a joint without flesh of its own (nothing at or above it moves skin, as a ground root),
 * whose flesh adjoins that of a joint of another branch: thighs on the ground root beside the hips. Limbs
 * come in pairs: where the trunk itself begins in two halves, neither hangs wrong. An idle joint in the
 * middle of the body, near what hangs on it, is no such parent. A single joint (a foot driven
 * from the ground) is told only where its parent carries the body.
 */
export const wrongParents = fact((facts): readonly WrongParent[] => {
  const { joints } = facts.rig;
  const { moves, hasMesh } = skinMass(facts);
  if (!hasMesh) return [];
  const root = bodyRoot(facts);
  const onTheWay = new Set([...root.carriers, root.joint, root.first]);
  const carriers = new Set(root.carriers);
  const { partner } = pairs(facts);
  const rigid = rigidJoints(facts);
  const carried = new Uint8Array(joints.count);
  return Array.from(joints.parent).flatMap((parent, joint): WrongParent[] => {
    carried[joint] = moves[joint] === 1 || (parent !== -1 && carried[parent] === 1) ? 1 : 0;
    if (parent === -1 || carried[parent] === 1 || moves[joint] === 0 || onTheWay.has(joint))
      return [];
    const limb = movingChildren(facts, joint).length > 0;
    const suspect = limb
      ? isFar(facts, joint, parent) && joints.parent[partner[joint] ?? -1] === parent
      : carriers.has(parent);
    if (!suspect) return [];
    const joined = edgesOut(facts, joint, branchOf(facts, joint)) > 0;
    if (!joined && (!limb || rigid[joint] === 1)) return [];
    const right = fleshParent(facts, joint);
    if (right === -1) return [];
    const { places } = bonePose(facts);
    const here = places[joint] ?? [0, 0, 0];
    const toParent = distance(here, places[parent] ?? here);
    const toRight = distanceToBones(facts, right, here);
    if (limb && !(toParent > TIMES * toRight)) return [];
    if (!joined && toRight > NEAR_SHARE * size(facts)) return [];
    return [{ joint, parent, right, toParent, toRight, limb }];
  });
});

function isFar(facts: Facts, joint: number, parent: number): boolean {
  const { places } = bonePose(facts);
  const [here, above] = [places[joint], places[parent]];
  return (
    here !== undefined && above !== undefined && distance(here, above) > FAR_SHARE * size(facts)
  );
}
