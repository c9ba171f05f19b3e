import type { Facts } from '../measure/facts.js';
import { bonePose } from '../measure/pose/bone-pose.js';
import { curledSegments } from '../measure/skeleton/curl.js';
import { identity, invert, type Mat4, mat4At, multiply } from '../rig/mat4.js';
import type { SceneChain } from './scene.js';

/** Entries that differ by less are the same but for rounding. Share of the largest. */
const SAME = 1e-5;

/** The chains of a rig that can be curled, and how they stand as bound. */
export function sceneChains(facts: Facts): SceneChain[] {
  return curledSegments(facts).map(({ joints, chain: curl }) => {
    const bound = boundLocals(facts, joints);
    return { joints, curl, ...(bound && { bound }) };
  });
}

/** Null where the joints are stored as they were bound. */
function boundLocals(facts: Facts, joints: readonly number[]): number[][] | null {
  const { nodes, joints: all } = facts.rig;
  const { world } = bonePose(facts);
  let isStored = true;
  const locals = joints.slice(1).map((joint, place) => {
    const stored = mat4At(nodes.local, all.node[joint] ?? 0);
    const between = (all.spacers[joint] ?? []).reduce(
      (matrix: Mat4, spacer) => multiply(matrix, mat4At(nodes.local, spacer)),
      identity(),
    );
    const above = invert(multiply(mat4At(world, joints[place] ?? 0), between));
    const local = above === null ? stored : multiply(above, mat4At(world, joint));
    const largest = Math.max(...stored.map(Math.abs));
    if (local.some((entry, i) => Math.abs(entry - (stored[i] ?? 0)) > SAME * largest))
      isStored = false;
    return [...local];
  });
  return isStored ? null : locals;
}
