import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { ClipPose, sampleTimes } from '../../measure/pose/clip-sampling.js';
import { mat4At, transformDirection } from '../../rig/mat4.js';
import { length, subtract, type Vec3 } from '../../rig/vec3.js';

/**
 * How far skin goes at most that hangs on a joint alone, when the joint moves by a step of its own frame and
 * clips turn it about its new place: the step as stored against the step as turned. Percent of size.
 */
export function shownInClips(facts: Facts, node: number, step: Vec3): number {
  const { rig } = facts;
  const { nodes } = rig;
  const parent = nodes.parent[node] ?? -1;
  const kept = transformDirection(mat4At(nodes.local, node), step);
  let most = 0;
  for (const clip of rig.clips) {
    if (!clip.keyed.has(node)) continue;
    const pose = new ClipPose(rig, clip);
    for (const time of sampleTimes(clip.channels)) {
      pose.seek(time);
      const stored = parent === -1 ? kept : transformDirection(pose.worldOf(parent), kept);
      const turned = transformDirection(pose.worldOf(node), step);
      most = Math.max(most, length(subtract(stored, turned)));
    }
  }
  return (100 * most) / size(facts);
}
