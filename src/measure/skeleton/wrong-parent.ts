import { branchOf } from '../../rig/tree.js';
import { distance } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bonePose } from '../pose/bone-pose.js';
import { edgesBetween, edgesOut, flesh } from '../skin/flesh.js';
import { fleshParent } from '../skin/flesh-parent.js';
import { rigidJoints } from '../skin/rigid-skin.js';
import { skinMass } from '../skin/skin-mass.js';
import { distanceToBones } from '../skin/skin-reach.js';
import { bodyRoot, movingChildren } from './body-root.js';
import { flatParents } from './hung-flat.js';
import { pairs } from './pairs.js';

/** A branch that hangs on another joint than the one its flesh grows from. */
export interface WrongParent {
  /** The first joint of the branch. */
  readonly joint: number;
  readonly parent: number;
  /** The joint whose flesh adjoins it most. */
  readonly right: number;
  /**
   * Distance from the joint to its parent, and to the bones of the right one; to that joint itself
   * where it is skipped. World units.
   */
  readonly toParent: number;
  readonly toRight: number;
  /** Whether it is beyond doubt a limb, not a single foot. */
  readonly limb: boolean;
}

/** A parent as near as this may well be the middle of a body. Share of size. */
const FAR_SHARE = 0.2;
/** A parent with flesh is only wrong from this distance on. Share of size. */
const OFF_SHARE = 0.1;
/** A limb that is a separate piece of mesh belongs to bones as near as this. Share of size. */
const NEAR_SHARE = 0.1;
/** And a wrong parent is this many times as far as the right one. */
const TIMES = 2;
/** Less where both have flesh: the right one lacks the bone that led to the limb. */
const TIMES_WITH_FLESH = 1.5;
/** So many bones at least lie between a wrong parent with flesh and the right one. */
const APART = 3;

/**
 * Branches whose flesh adjoins that of a joint of another branch than the one they hang on.
 *
 * On a joint without flesh (nothing at or above it moves skin, as a ground root): pairs of limbs
 * far from it (thighs beside the hips), and whatever hangs beside the body that it carries (feet
 * driven from the ground). Where the trunk begins in two halves neither hangs wrong.
 *
 * On a joint with flesh that adjoins none of the branch, far from the right one in the tree: an arm
 * on the head. Beside a joint that lies between: a shin on the hips beside its thigh.
 */
export const wrongParents = fact((facts): readonly WrongParent[] => {
  const { joints } = facts.rig;
  const { moves, movesAbove, hasMesh } = skinMass(facts);
  if (!hasMesh) return [];
  const root = bodyRoot(facts);
  const onTheWay = new Set([...root.carriers, root.joint, root.first]);
  return Array.from(joints.parent).flatMap((parent, joint): WrongParent[] => {
    if (parent === -1 || moves[joint] === 0 || onTheWay.has(joint)) return [];
    const judge = movesAbove[parent] === 0 ? onCarrier : onOtherFlesh;
    const wrong = judge(facts, joint, parent) ?? onSkipped(facts, joint, parent);
    return wrong === null ? [] : [wrong];
  });
});

function onCarrier(facts: Facts, joint: number, parent: number): WrongParent | null {
  const { joints } = facts.rig;
  const carriesBody = bodyRoot(facts).carriers.includes(parent);
  const hasBelow = movingChildren(facts, joint).length > 0;
  const isPaired = joints.parent[pairs(facts).partner[joint] ?? -1] === parent;
  const toParent = toPlace(facts, joint, parent);
  const isFar = toParent > FAR_SHARE * size(facts);
  if (hasBelow ? !(isPaired && (isFar || carriesBody)) : !carriesBody) return null;
  const isJoined = edgesOut(facts, joint, branchOf(joints, joint)) > 0;
  if (!isJoined && (!hasBelow || !isFar || rigidJoints(facts)[joint] === 1)) return null;
  const right = fleshParent(facts, joint);
  if (right === -1) return null;
  const toRight = toBones(facts, joint, right);
  const limb = hasBelow && isFar && toParent > TIMES * toRight;
  if (!isJoined && toRight > NEAR_SHARE * size(facts)) return null;
  return limb || carriesBody ? { joint, parent, right, toParent, toRight, limb } : null;
}

function onOtherFlesh(facts: Facts, joint: number, parent: number): WrongParent | null {
  // Where it lies near its parent nothing need be walked.
  const toParent = toPlace(facts, joint, parent);
  if (toParent <= OFF_SHARE * size(facts)) return null;
  const { own, beside } = flesh(facts);
  if (skinMass(facts).moves[parent] === 0 || (own[parent] ?? 0) === 0) return null;
  // Most adjoin their parent themselves, or nothing: then their branch need not be gathered.
  const others = beside[joint];
  if (others === undefined || others.size === 0 || others.has(parent)) return null;
  const branch = branchOf(facts.rig.joints, joint);
  if (edgesBetween(facts, branch, parent) > 0 || edgesOut(facts, joint, branch) === 0) return null;
  const right = fleshParent(facts, joint);
  if (right === -1 || bonesBetween(facts, parent, right) < APART) return null;
  const toRight = toBones(facts, joint, right);
  const isFar = toParent > TIMES_WITH_FLESH * toRight;
  return isFar ? { joint, parent, right, toParent, toRight, limb: true } : null;
}

/**
 * Beyond doubt only inside a paired limb whose joints hang side by side, with a long bone between
 * them. A foot alone may be driven from the hips.
 */
function onSkipped(facts: Facts, joint: number, parent: number): WrongParent | null {
  const right = flatParents(facts)[joint] ?? -1;
  if (right === -1) return null;
  const [toParent, toRight] = [toPlace(facts, joint, parent), toPlace(facts, joint, right)];
  const { partner } = pairs(facts);
  const isPaired = [joint, right].every((each) => (partner[each] ?? -1) !== -1);
  // Or on nothing: the thigh is another fault then.
  const isBeside = [parent, -1].includes(facts.rig.joints.parent[right] ?? -1);
  const limb = isPaired && isBeside && toRight > OFF_SHARE * size(facts);
  return { joint, parent, right, toParent, toRight, limb };
}

function toBones(facts: Facts, joint: number, right: number): number {
  return distanceToBones(facts, right, bonePose(facts).places[joint] ?? [0, 0, 0]);
}

function toPlace(facts: Facts, joint: number, parent: number): number {
  const { places } = bonePose(facts);
  return distance(places[joint] ?? [0, 0, 0], places[parent] ?? [0, 0, 0]);
}

/** Bones on the way through the tree from one joint to another. */
function bonesBetween({ rig }: Facts, from: number, to: number): number {
  const { parent, depth } = rig.joints;
  let [a, b, bones] = [from, to, 0];
  for (; a !== b; bones++) {
    if (a === -1 || b === -1) return Infinity;
    if ((depth[a] ?? 0) >= (depth[b] ?? 0)) a = parent[a] ?? -1;
    else b = parent[b] ?? -1;
  }
  return bones;
}
