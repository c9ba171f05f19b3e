import type { Facts } from '../facts.js';
import { fleshParent } from './flesh-parent.js';

/** A joint and the one that it should hang on. */
export interface Home {
  readonly joint: number;
  readonly parent: number;
}

/**
 * The joints that topmost joints should hang on, in their order. Each hangs outside the tree that it is
 * part of by then: two whose flesh adjoins cannot hang on each other.
 */
export function homesOf(facts: Facts, tops: readonly number[]): Home[] {
  const { parent, count } = facts.rig.joints;
  // The top of the tree that each joint is part of. Parents stand before their children.
  const tree = new Int32Array(count);
  for (let joint = 0; joint < count; joint++) {
    const above = parent[joint] ?? -1;
    tree[joint] = above === -1 ? joint : (tree[above] ?? joint);
  }
  return tops.flatMap((joint) => {
    const own = tree[joint] ?? joint;
    const branch = Uint8Array.from(tree, (top) => (top === own ? 1 : 0));
    const home = fleshParent(facts, joint, branch);
    if (home === -1) return [];
    const other = tree[home] ?? home;
    for (let at = 0; at < count; at++) if (tree[at] === own) tree[at] = other;
    return [{ joint, parent: home }];
  });
}
