import { decompose } from '../../rig/decompose.js';
import { mat4At } from '../../rig/mat4.js';
import { conjugate, multiplyQuaternions, type Quaternion, rotate } from '../../rig/quaternion.js';
import { branchOf } from '../../rig/tree.js';
import type { Rig } from '../../rig/types.js';
import { angleBetween, distance, subtract } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bindPose } from '../pose/bind-pose.js';
import { bodyRoot } from '../skeleton/body-root.js';
import { skinMass } from '../skin/skin-mass.js';
import { approvedFacts, matching } from './matching.js';

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
  /** The turn that brings this rig's world to that of the approved one. */
  readonly turnBack: Quaternion;
}

/** A shorter bone has no direction to speak of. Share of size. */
const LEAST_BONE = 0.005;
/** By so much the bones must agree better in the bind pose before a rig counts as turned whole. Degrees. */
const CLEARLY = 1;
const NO_TURN: Quaternion = [0, 0, 0, 1];

/**
 * Null where no joint answers to one of an approved rig.
 *
 * Compared are the joints of the body and those beside it that move skin: where a carrier is, nobody
 * sees. A bone runs to a joint from the nearest joint above it that both rigs have, below the body root
 * alone.
 *
 * A rig that is turned whole by the nodes above it fits, since a clip turns it no further. So it is
 * turned back by what these nodes turn it against the approved rig; but only if that makes the bones
 * agree in the bind pose. A rig whose root joint undoes what the nodes above it turn stands upright
 * until a clip poses the root, and then falls over, which has to be seen.
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
  const stage = { approved, theirs, ours, root, scale: match.scale, size: size(approved) };
  const from = bonesFrom(match.approved, list, below);
  return { ...stage, from, turnBack: conjugate(turnOfWhole(facts, { ...stage, from })) };
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

type Unturned = Omit<PlayStage, 'turnBack'>;

/** How the nodes above this rig turn the whole of it against the approved one. */
function turnOfWhole(facts: Facts, stage: Unturned): Quaternion {
  const [a, c] = [turnAbove(stage.approved.rig, stage.theirs), turnAbove(facts.rig, stage.ours)];
  const whole = multiplyQuaternions(c, conjugate(a));
  const asIs = meanAngle(facts, stage, NO_TURN);
  return meanAngle(facts, stage, conjugate(whole)) < asIs - CLEARLY ? whole : NO_TURN;
}

/** The turn, in the world, of the frame that the first of some joints hangs in. */
function turnAbove({ nodes, joints }: Rig, list: Int32Array): Quaternion {
  let top = list[0] ?? 0;
  for (let up = top; up !== -1; up = joints.parent[up] ?? -1) top = up;
  const spacers = joints.spacers[top] ?? [];
  const above = nodes.parent[spacers[0] ?? joints.node[top] ?? 0] ?? -1;
  return above === -1 ? NO_TURN : decompose(mat4At(nodes.world, above)).rotation;
}

/** Mean angle between the bones of both in the bind pose, with this rig turned back. Degrees. */
function meanAngle(facts: Facts, stage: Unturned, turnBack: Quaternion): number {
  const [theirs, ours] = [bindPose(stage.approved).places, bindPose(facts).places];
  let [sum, count] = [0, 0];
  for (const [at, start] of stage.from.entries()) {
    const [a0, a1] = [theirs[stage.theirs[start] ?? -1], theirs[stage.theirs[at] ?? -1]];
    const [c0, c1] = [ours[stage.ours[start] ?? -1], ours[stage.ours[at] ?? -1]];
    if (!a0 || !a1 || !c0 || !c1) continue;
    if (Math.min(distance(a0, a1), distance(c0, c1) / stage.scale) < LEAST_BONE * stage.size)
      continue;
    sum += angleBetween(subtract(a1, a0), rotate(turnBack, subtract(c1, c0)));
    count++;
  }
  return count === 0 ? 0 : sum / count;
}

/** The shortest bone that has a direction, in world units of the approved rig. */
export function leastBone({ size: whole }: PlayStage): number {
  return LEAST_BONE * whole;
}
