import { determinant3, mat4At, transformPoint } from '../rig/mat4.js';
import { length, vec3At } from '../rig/vec3.js';
import { size } from './bind-mesh.js';
import { bodyRoot } from './body-root.js';
import { bonePose } from './bone-pose.js';
import { boneLengths } from './bones.js';
import { sampleChannel, sampleTimes } from './clip-sampling.js';
import { type Facts, fact } from './facts.js';
import { skinMass } from './skin-mass.js';
import { spacerMatrix } from './spacers.js';

/** The strongest stretch of one bone by any clip. */
export interface Stretch {
  /** The joint at the far end of the bone. */
  readonly joint: number;
  readonly clip: string;
  /** Seconds. */
  readonly time: number;
  /** Bone length in the bind pose and at that time; world units. */
  readonly built: number;
  readonly stretched: number;
  /** Change in percent of the larger of the built length and 2 % of size. */
  readonly percent: number;
}

export interface Stretches {
  /** Joints that may not leave their place and that a clip moves. */
  readonly watched: number;
  readonly list: readonly Stretch[];
}

/** Bones shorter than this share of size are judged as if they had it: joints on each other explode else. */
const LEAST_BONE = 0.02;

/**
 * Bone length at every key of every translation channel and between keys, for skin-moving joints
 * below the body root. The length is that of the joint's place in its parent's frame, brought to
 * world units by the parent's scale in the bind pose.
 */
export const stretches = fact((facts): Stretches => {
  const { rig } = facts;
  const watched = watchedJoints(facts);
  const worst = new Map<number, Stretch>();
  const out = new Float64Array(4);
  for (const clip of rig.clips) {
    for (const channel of clip.channels) {
      const joint = rig.joints.ofNode[channel.node] ?? -1;
      if (channel.path !== 'translation' || joint === -1 || watched[joint] !== 1) continue;
      const built = boneLengths(facts)[joint] ?? 0;
      const reference = Math.max(built, LEAST_BONE * size(facts));
      const toParent = spacerMatrix(facts, joint);
      const unit = parentScale(facts, joint);
      if (!(reference > 0)) continue;
      for (const time of sampleTimes([channel])) {
        sampleChannel(channel, time, out);
        const stretched = unit * length(transformPoint(toParent, vec3At(out, 0)));
        const percent = (100 * Math.abs(stretched - built)) / reference;
        if (percent > (worst.get(joint)?.percent ?? 0)) {
          worst.set(joint, { joint, clip: clip.name, time, built, stretched, percent });
        }
      }
    }
  }
  const list = [...worst.values()].sort((a, b) => a.joint - b.joint);
  return { watched: watched.reduce((sum, value) => sum + value, 0), list };
});

/**
 * Skin-moving joints below the body root; and where the mapping puts that lower, those below the first
 * joint that moves skin all the same.
 */
function watchedJoints(facts: Facts): Uint8Array {
  const { joints } = facts.rig;
  const { movesBelow } = skinMass(facts);
  const { joint: root, first } = bodyRoot(facts);
  const below = new Uint8Array(joints.count);
  for (let joint = 0; joint < joints.count; joint++) {
    const parent = joints.parent[joint] ?? -1;
    if (parent === -1) continue;
    if (parent === root || parent === first || below[parent] === 1) below[joint] = 1;
  }
  // The hips of a mapping travel (VRM 1.0, `humanoid.md`, Torso: "Usually only this bone moves").
  if (root !== -1) below[root] = 0;
  return below.map((value, joint) => (value === 1 && movesBelow[joint] === 1 ? 1 : 0));
}

function parentScale(facts: Facts, joint: number): number {
  const parent = facts.rig.joints.parent[joint] ?? -1;
  return parent === -1
    ? 1
    : Math.cbrt(Math.abs(determinant3(mat4At(bonePose(facts).world, parent))));
}
