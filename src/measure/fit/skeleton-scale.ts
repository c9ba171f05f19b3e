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
 * Bones run from the nearest matched joint above. Where there
 * are none, as in a flat rig, the ways from one topmost joint to the next stand for them; else 1.
 */
export function scaleOver(
  theirs: Facts,
  ofApproved: Int32Array,
  lengthOf: BoneLength,
  ownLengthOf: BoneLength,
): number {
  const above = new Int32Array(ofApproved.length).fill(-1);
  const bones: Ratio[] = [];
  const ways: Ratio[] = [];
  let lastTop = -1;
  for (let joint = 0; joint < ofApproved.length; joint++) {
    const parent = theirs.rig.joints.parent[joint] ?? -1;
    const from = parent !== -1 && ofApproved[parent] === -1 ? (above[parent] ?? -1) : parent;
    above[joint] = from;
    const end = ofApproved[joint] ?? -1;
    if (end === -1) continue;
    const start = from === -1 ? lastTop : from;
    if (from === -1) lastTop = joint;
    if (start === -1) continue;
    const length = lengthOf(start, joint);
    const ratio = ownLengthOf(ofApproved[start] ?? -1, end) / length;
    (from === -1 ? ways : bones).push({ ratio, length });
  }
  return medianOf(bones) ?? medianOf(ways) ?? 1;
}

/** One length over another, and the length that counts for it. */
interface Ratio {
  readonly ratio: number;
  readonly length: number;
}

/** The ratio with half the length of all on either side: one long bone is no size. Null for none. */
export function medianOf(all: readonly Ratio[]): number | null {
  const bones = all
    .filter(({ ratio }) => ratio > 0 && Number.isFinite(ratio))
    .sort((one, other) => one.ratio - other.ratio);
  const half = bones.reduce((sum, { length }) => sum + length, 0) / 2;
  let below = 0;
  for (const { ratio, length } of bones) {
    below += length;
    if (below >= half) return ratio;
  }
  return null;
}
