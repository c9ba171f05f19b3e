import { branchOf } from '../../rig/tree.js';
import type { Facts } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { movingChildren } from '../skeleton/body-root.js';
import { flesh } from './flesh.js';
import { skinMass } from './skin-mass.js';
import { distanceToBones } from './skin-reach.js';

/**
 * The joint outside a branch that its top should hang on: the one whose flesh adjoins the branch's first
 * flesh most, else the one whose bones are nearest to its first joint; -1 for none. The branch can be
 * larger than what hangs on its top, where that is to become part of another.
 */
export function fleshParent(
  facts: Facts,
  top: number,
  branch = branchOf(facts.rig.joints, top),
): number {
  const { moves, hasMesh } = skinMass(facts);
  const first = hasMesh ? firstMover(facts, top) : top;
  let [best, most] = [-1, 0];
  for (const [other, edges] of hasMesh ? (flesh(facts).beside[first] ?? []) : []) {
    if (branch[other] === 1 || edges <= most) continue;
    [best, most] = [other, edges];
  }
  if (best !== -1) return best;
  const here = bonePose(facts).places[first] ?? [0, 0, 0];
  let least = Infinity;
  for (let joint = 0; joint < branch.length; joint++) {
    if (branch[joint] === 1 || moves[joint] === 0) continue;
    const gap = distanceToBones(facts, joint, here);
    if (gap < least) [best, least] = [joint, gap];
  }
  return best;
}

/** The first joint of a branch that moves skin; its top if none does. */
function firstMover(facts: Facts, top: number): number {
  const { moves } = skinMass(facts);
  for (let at = top; at !== -1; at = movingChildren(facts, at)[0] ?? -1)
    if (moves[at] === 1) return at;
  return top;
}
