import { branchOf } from '../../rig/tree.js';
import type { Facts } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { movingChildren } from '../skeleton/body-root.js';
import { flesh } from './flesh.js';
import { skinMass } from './skin-mass.js';
import { distanceToBones } from './skin-reach.js';

/**
 * The joint outside a branch that its top should hang on: the one whose flesh adjoins the branch's
 * first flesh most, else the one whose bones are nearest to its first joint; -1 for none. `branch`
 * can be larger than what hangs on the top, which may be about to join another tree.
 */
export function fleshParent(
  facts: Facts,
  top: number,
  branch = branchOf(facts.rig.joints, top),
): number {
  const { moves, hasMesh } = skinMass(facts);
  const first = hasMesh ? firstMover(facts, top) : top;
  let [best, most] = [-1, 0];
  for (const [other, edges] of hasMesh ? (flesh(facts).beside[first] ?? []) : [])
    if (branch[other] !== 1 && edges > most) [best, most] = [other, edges];
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

/** A joint and the one that it should hang on. */
export interface Home {
  readonly joint: number;
  readonly parent: number;
}

/**
 * The joints that topmost joints should hang on, in their order. Each hangs outside the tree that
 * it belongs to by then: two whose flesh adjoins cannot hang on each other.
 */
export function homesOf(facts: Facts, tops: readonly number[]): Home[] {
  const { parent } = facts.rig.joints;
  // The top of the tree that each joint is part of. Parents come before their children.
  const tree = new Int32Array(parent.length);
  for (const [joint, above] of parent.entries()) tree[joint] = tree[above] ?? joint;
  return tops.flatMap((joint) => {
    const top = tree[joint] ?? joint;
    const branch = Uint8Array.from(tree, (other) => (other === top ? 1 : 0));
    const home = fleshParent(facts, joint, branch);
    if (home === -1) return [];
    const joined = tree[home] ?? home;
    for (const [other, value] of branch.entries()) if (value === 1) tree[other] = joined;
    return [{ joint, parent: home }];
  });
}
