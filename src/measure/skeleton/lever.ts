import { branchOf } from '../../rig/tree.js';
import { fact } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot } from './body-root.js';
import { boneLengths } from './bones.js';

/** How much farther the skin lies from where the chains begin than from the best placed joint. */
export interface Lever {
  /** cost(root) / smallest cost; 1 is best. Infinity when one joint holds all the mass. */
  readonly value: number;
  readonly best: number;
}

/**
 * cost(r) = sum over joints of skin mass x path length from r, over the tree of the first joint
 * that moves skin: mapped hips do not hide chains that are laid from a tip to them. A uniform chain
 * rooted at its end has lever 2, a cone at its thick end 1.7, at its thin end 3.4. Moving r over a
 * bone of length b changes the cost by b x (mass behind - mass ahead): one pass gives all costs.
 */
export const lever = fact((facts): Lever | null => {
  const { parent: parents, count } = facts.rig.joints;
  const { first: root, massBelow } = bodyRoot(facts);
  const { ofJoint } = skinMass(facts);
  const total = massBelow[root] ?? 0;
  if (!(total > 0)) return null;
  const [far, cost] = [new Float64Array(count), new Float64Array(count)];
  const inside = branchOf(facts.rig.joints, root);
  for (let joint = root + 1; joint < count; joint++) {
    const parent = parents[joint] ?? -1;
    if (inside[joint] === 0) continue;
    far[joint] = (far[parent] ?? 0) + (boneLengths(facts)[joint] ?? 0);
    cost[root] = (cost[root] ?? 0) + (ofJoint[joint] ?? 0) * (far[joint] ?? 0);
  }
  let best = root;
  for (let joint = root + 1; joint < count; joint++) {
    if (inside[joint] === 0) continue;
    const parent = parents[joint] ?? root;
    const bone = (far[joint] ?? 0) - (far[parent] ?? 0);
    cost[joint] = (cost[parent] ?? 0) + bone * (total - 2 * (massBelow[joint] ?? 0));
    if ((cost[joint] ?? 0) < (cost[best] ?? 0)) best = joint;
  }
  const [present, least] = [cost[root] ?? 0, cost[best] ?? 0];
  if (present === 0) return { value: 1, best };
  return { value: least > 0 ? present / least : Infinity, best };
});
