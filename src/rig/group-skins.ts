import type { GltfSkin } from '../asset/gltf-types.js';
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
    let at = skin;
    while (leader[at] !== at) at = leader[at] ?? at;
    return at;
  };
  const join = (a: number, b: number): void => {
    const [x, y] = [find(a), find(b)];
    leader[Math.max(x, y)] = Math.min(x, y);
  };
  const owner = new Map<number, number>();
  const skeletons = new Map<number, number>();
  skins.forEach((skin, index) => {
    for (const joint of skin.joints) {
      const earlier = owner.get(joint);
      if (earlier === undefined) owner.set(joint, index);
      else join(earlier, index);
    }
    if (skin.skeleton !== null) {
      const earlier = skeletons.get(skin.skeleton);
      if (earlier === undefined) skeletons.set(skin.skeleton, index);
      else join(earlier, index);
    }
  });
  // From above: the owner of the nearest joint above each node.
  const above = new Int32Array(nodes.count).fill(-1);
  for (const node of nodes.order) {
    const parent = nodes.parent[node] ?? -1;
    const inherited = parent === -1 ? -1 : (above[parent] ?? -1);
    const own = owner.get(node);
    if (own !== undefined && inherited !== -1) join(own, inherited);
    above[node] = own ?? inherited;
  }
  const groups = new Map<number, number[]>();
  skins.forEach((_, index) => {
    const key = find(index);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [index]);
    else group.push(index);
  });
  return [...groups.values()];
}
