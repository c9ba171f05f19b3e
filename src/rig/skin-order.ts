import type { GltfDocument } from '../asset/gltf-types.js';
import { compareTexts } from './sibling-order.js';
import type { NodeTable } from './types.js';

/**
 * The skins of a document in an order that no export changes, as skin indices: by the joints they list
 * in tree order, then by name, then by the first node in tree order that wears them.
 */
export function orderSkins({ skins, nodes: stored }: GltfDocument, nodes: NodeTable): number[] {
  const rank = new Int32Array(nodes.count);
  nodes.order.forEach((node, index) => {
    rank[node] = index;
  });
  const ranks = skins.map(({ joints }) =>
    Int32Array.from(joints, (node) => rank[node] ?? 0).sort(),
  );
  const worn = skins.map(() => nodes.count);
  stored.forEach(({ skin }, node) => {
    if (skin !== null) worn[skin] = Math.min(worn[skin] ?? 0, rank[node] ?? 0);
  });
  return [...skins.keys()].sort(
    (a, b) =>
      compareNumbers(ranks[a] ?? [], ranks[b] ?? []) ||
      compareTexts(skins[a]?.name ?? '', skins[b]?.name ?? '') ||
      (worn[a] ?? 0) - (worn[b] ?? 0),
  );
}

/** As words in a dictionary. */
function compareNumbers(a: ArrayLike<number>, b: ArrayLike<number>): number {
  const shared = Math.min(a.length, b.length);
  for (let index = 0; index < shared; index++) {
    const difference = (a[index] ?? 0) - (b[index] ?? 0);
    if (difference !== 0) return difference;
  }
  return a.length - b.length;
}
