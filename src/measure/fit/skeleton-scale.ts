import { distance } from '../../rig/vec3.js';
import type { Facts } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';

/**
 * How many times as large a skeleton is as the approved one: the ratio of bone lengths of which half
 * the length of all bones lies below and half above (a weighted median), over the bones that both
 * have. A box round the joints would do for whole rigs, but one prop, one long arm or one bone at
 * fault would change it, and with it the measure of every sound bone.
 *
 * Bones run from the nearest matched joint above. Where no bone has a length, 1. Bind pose, so that
 * holders which scale the rig count.
 */
export function scaleOver(theirs: Facts, own: Facts, ofApproved: Int32Array): number {
  const [a, c] = [bonePose(theirs).places, bonePose(own).places];
  const above = new Int32Array(ofApproved.length).fill(-1);
  const bones: { readonly ratio: number; readonly length: number }[] = [];
  for (let joint = 0; joint < ofApproved.length; joint++) {
    const parent = theirs.rig.joints.parent[joint] ?? -1;
    const from = parent !== -1 && ofApproved[parent] === -1 ? (above[parent] ?? -1) : parent;
    above[joint] = from;
    const [start, end] = [a[from], a[joint]];
    const [ownStart, ownEnd] = [c[ofApproved[from] ?? -1], c[ofApproved[joint] ?? -1]];
    if (!start || !end || !ownStart || !ownEnd) continue;
    const length = distance(start, end);
    const ratio = distance(ownStart, ownEnd) / length;
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
