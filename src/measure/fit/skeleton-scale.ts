import { distance } from '../../rig/vec3.js';
import type { Facts } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';

/** Length of the bone from one joint to another below it. */
type BoneLength = (from: number, joint: number) => number;

/** In the world, in the bind pose: holders that scale the rig count. World units. */
export function worldLengths(facts: Facts): BoneLength {
  const { places } = bonePose(facts);
  return (from, joint) => distance(places[from] ?? [0, 0, 0], places[joint] ?? [0, 0, 0]);
}

/**
 * How many times as large a skeleton is as the approved one: the ratio of bone lengths of which half
 * the length of all bones lies below and half above (a weighted median), over the bones that both
 * have. A box round the joints would do for whole rigs, but one prop, one long arm or one bone at
 * fault would change it, and with it the measure of every sound bone.
 *
 * Bones run from the nearest matched joint above. Where no bone has a length, 1.
 */
export function scaleOver(
  theirs: Facts,
  ofApproved: Int32Array,
  lengthOf: BoneLength,
  ownLengthOf: BoneLength,
): number {
  const above = new Int32Array(ofApproved.length).fill(-1);
  const bones: { readonly ratio: number; readonly length: number }[] = [];
  for (let joint = 0; joint < ofApproved.length; joint++) {
    const parent = theirs.rig.joints.parent[joint] ?? -1;
    const from = parent !== -1 && ofApproved[parent] === -1 ? (above[parent] ?? -1) : parent;
    above[joint] = from;
    const [answer, end] = [ofApproved[from] ?? -1, ofApproved[joint] ?? -1];
    if (answer === -1 || end === -1) continue;
    const length = lengthOf(from, joint);
    const ratio = ownLengthOf(answer, end) / length;
    if (Number.isFinite(ratio) && ratio > 0) bones.push({ ratio, length });
  }
  bones.sort((one, other) => one.ratio - other.ratio);
  const half = bones.reduce((sum, { length }) => sum + length, 0) / 2;
  let below = 0;
  for (const { ratio, length } of bones) {
    below += length;
    if (below >= half) return ratio;
  }
  return 1;
}
