import { determinant3, mat4At } from '../../rig/mat4.js';
import { conjugate, type Quaternion } from '../../rig/quaternion.js';
import { branchOf } from '../../rig/tree.js';
import type { Rig } from '../../rig/types.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bindPose } from '../pose/bind-pose.js';
import { bodyRoot } from '../skeleton/body-root.js';
import { skinMass } from '../skin/skin-mass.js';
import { alignment } from './alignment.js';
import { approvedFacts, matching } from './matching.js';
import { NO_TURN } from './whole-turn.js';

/** The two rigs side by side: which joints are compared, and how this rig is brought to the other. */
export interface PlayStage {
  readonly approved: Facts;
  /** Matched joints, in the order of the approved rig: its own, and that of this rig. */
  readonly theirs: Int32Array;
  readonly ours: Int32Array;
  /** For each, the place in this list of the joint that its bone begins at; -1 for none that is compared. */
  readonly from: Int32Array;
  /** Place in the list of the body root. */
  readonly root: number;
  /** Size of this rig over the approved one. */
  readonly scale: number;
  /** Size of the approved rig, world units of its own. */
  readonly size: number;
  /** Whether this rig is the approved one in a mirror, in X of the world. */
  readonly mirrored: boolean;
  /** The turns that can bring the whole of this rig to how the approved one stands, the likely one first. */
  readonly turnsBack: readonly Quaternion[];
}

/** A shorter bone has no direction to speak of. Share of size. */
const LEAST_BONE = 0.005;

/**
 * Null where no joint answers to one of an approved rig.
 *
 * Compared are the joints of the body and those beside it that move skin: where a carrier is, nobody
 * sees. A bone runs to a joint from the nearest joint above it that both rigs have, below the body root
 * alone.
 *
 * Which way the whole of a rig faces is no difference, nor are mirrors above it. Clips leave a rig as it
 * is turned in the bind pose where they do not pose its root, and turn it as the approved one is where
 * they do; so both are tried (see `PlayBoth`). But a rig whose root joint undoes what the nodes above it
 * turn is turned by nothing in the bind pose: it falls over once a clip poses the root, which has to be
 * seen.
 */
export const playStage = fact((facts): PlayStage | null => {
  const match = matching(facts);
  const approved = approvedFacts(facts);
  if (match === null || approved === null) return null;
  const below = branchOf(match.approved.joints, bodyRoot(approved).joint);
  const { moves } = skinMass(approved);
  const list = [...match.ofApproved.keys()].filter(
    (joint) => match.ofApproved[joint] !== -1 && (below[joint] === 1 || moves[joint] === 1),
  );
  if (list.length === 0) return null;
  const theirs = Int32Array.from(list);
  const ours = theirs.map((joint) => match.ofApproved[joint] ?? -1);
  // Parents come first: the first that is left of the body stands for its root.
  const root = Math.max(
    0,
    list.findIndex((joint) => below[joint] === 1),
  );
  return {
    approved,
    theirs,
    ours,
    root,
    from: bonesFrom(match.approved, list, below),
    scale: match.scale,
    size: size(approved),
    mirrored: isMirrored(facts, approved, theirs, ours),
    turnsBack: [conjugate(alignment(facts)?.turn ?? NO_TURN), NO_TURN],
  };
});

/** Where the bone to each joint of the list begins, by its place in the list; -1 outside the body. */
function bonesFrom({ joints }: Rig, list: readonly number[], below: Uint8Array): Int32Array {
  const placeOf = new Int32Array(joints.count).fill(-1);
  const nearest = new Int32Array(joints.count).fill(-1);
  for (const [place, joint] of list.entries()) placeOf[joint] = place;
  for (let joint = 0; joint < joints.count; joint++) {
    const parent = joints.parent[joint] ?? -1;
    if (parent === -1 || below[parent] !== 1) continue;
    const own = placeOf[parent] ?? -1;
    nearest[joint] = own === -1 ? (nearest[parent] ?? -1) : own;
  }
  return Int32Array.from(list, (joint) => nearest[joint] ?? -1);
}

/** Whether most joints are left-handed on one side alone: this rig hangs in a frame that mirrors it. */
function isMirrored(facts: Facts, approved: Facts, theirs: Int32Array, ours: Int32Array): boolean {
  const [a, c] = [bindPose(approved).world, bindPose(facts).world];
  const opposite = theirs.filter((joint, at) => {
    const hands = determinant3(mat4At(a, joint)) * determinant3(mat4At(c, ours[at] ?? 0));
    return hands < 0;
  });
  return 2 * opposite.length > theirs.length;
}

/** The shortest bone that has a direction, in world units of the approved rig. */
export function leastBone({ size: whole }: PlayStage): number {
  return LEAST_BONE * whole;
}
