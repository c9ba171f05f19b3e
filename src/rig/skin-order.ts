import type { GltfDocument } from '../asset/gltf-types.js';
import { compareTexts } from './sibling-order.js';
import type { NodeTable } from './types.js';

/**
 * The skins of a document in an order that no export changes, as skin indices: by the joints they list
 * in tree order, then by name, then by the first node in tree order that wears them.
 */
export function orderSkins({ skins, nodes: stored }: GltfDocument, nodes: NodeTable): number[] {
  const rank = new Int32Array(nodes.count);
  for (const [index, node] of nodes.order.entries()) rank[node] = index;
  const ranks = skins.map(({ joints }) =>
    Int32Array.from(joints, (node) => rank[node] ?? 0).sort(),
  );
  const worn = skins.map(() => nodes.count);
  stored.forEach(({ skin }, node) => {
    if (skin !== null) worn[skin] = Math.min(worn[skin] ?? 0, rank[node] ?? 0);
  });
  return [...skins.keys()].sort(
    (a, b) =>
      compareRanks(ranks[a] ?? NONE, ranks[b] ?? NONE) ||
      compareTexts(skins[a]?.name ?? '', skins[b]?.name ?? '') ||
      (worn[a] ?? 0) - (worn[b] ?? 0),
  );
}

const NONE = new Int32Array();

/** As words in a dictionary; ranks are never negative. */
function compareRanks(a: Int32Array, b: Int32Array): number {
  const index = a.findIndex((rank, at) => rank !== b[at]);
  return index === -1 ? a.length - b.length : (a[index] ?? -1) - (b[index] ?? -1);
}
