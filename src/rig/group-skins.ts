import type { GltfSkin } from '../asset/gltf-types.js';
import { groupBy } from './group-by.js';
import type { NodeTable } from './types.js';

/**
 * Which skins belong to one rig: those that share a joint, whose joints hang below each other, or
 * that name the same skeleton root. Skins that merely hang on one holder stay apart, since whole
 * casts are exported below one.
 *
 * @returns Lists of skin indices, in file order.
 */
export function groupSkins(nodes: NodeTable, skins: readonly GltfSkin[]): number[][] {
  const leader = skins.map((_, index) => index);
  const find = (skin: number): number => {
    let current = skin;
    while (leader[current] !== current) current = leader[current] ?? current;
    return current;
  };
  const join = (a: number, b: number): void => {
    const [x, y] = [find(a), find(b)];
    leader[Math.max(x, y)] = Math.min(x, y);
  };
  const owner = new Map<number, number>();
  const skeletons = new Map<number, number>();
  const joinFirst = (firsts: Map<number, number>, node: number, skin: number): void => {
    const first = firsts.get(node);
    if (first === undefined) firsts.set(node, skin);
    else join(first, skin);
  };
  skins.forEach(({ joints, skeleton }, index) => {
    for (const joint of joints) joinFirst(owner, joint, index);
    if (skeleton !== null) joinFirst(skeletons, skeleton, index);
  });
  // From above: the owner of the nearest joint at or above each node.
  const nearest = new Int32Array(nodes.count).fill(-1);
  for (const node of nodes.order) {
    const inherited = nearest[nodes.parent[node] ?? -1] ?? -1;
    const skin = owner.get(node);
    if (skin !== undefined && inherited !== -1) join(skin, inherited);
    nearest[node] = skin ?? inherited;
  }
  return [...groupBy(leader.keys(), find).values()];
}
