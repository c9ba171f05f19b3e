import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { bonePose } from '../../measure/pose/bone-pose.js';
import { ClipPose, sampleTimes } from '../../measure/pose/clip-sampling.js';
import { origin } from '../../rig/mat4.js';
import { distance } from '../../rig/vec3.js';
import { upFrom } from '../reframe/stored.js';

/** Shorter bones count as this share of size, as for bones that the rig has (`stretches`). */
const LEAST_BONE = 0.02;

/**
 * By how much clips change the distance of two joints, at most: what the bone between them would be
 * stretched by, if one hung on the other. Percent of their distance in the bind pose.
 */
export function wouldStretch(facts: Facts, joint: number, home: number): number {
  const { rig } = facts;
  const { places } = bonePose(facts);
  const [at = [0, 0, 0], there = [0, 0, 0]] = [places[joint], places[home]];
  const built = distance(at, there);
  const [node = -1, parent = -1] = [rig.joints.node[joint], rig.joints.node[home]];
  const [line, other] = [upFrom(rig.nodes, node), upFrom(rig.nodes, parent)];
  let most = 0;
  for (const clip of rig.clips) {
    // What moves both moves nothing between them.
    const moving = clip.channels.filter(
      (channel) => line.has(channel.node) !== other.has(channel.node),
    );
    const pose = new ClipPose(rig, clip);
    for (const time of sampleTimes(moving)) {
      pose.seek(time);
      const apart = distance(origin(pose.worldOf(node)), origin(pose.worldOf(parent)));
      most = Math.max(most, Math.abs(apart - built));
    }
  }
  const reference = Math.max(built, LEAST_BONE * size(facts));
  return reference > 0 ? (100 * most) / reference : 0;
}
