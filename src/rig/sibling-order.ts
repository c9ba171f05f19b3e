import type { Decoded } from '../asset/decode.js';
import type { GltfDocument, GltfNode } from '../asset/gltf-types.js';
import { bindFinder } from './bind-finder.js';
import { groupBy } from './group-by.js';
import { isNamed } from './node-name.js';
import { signaturesOf } from './node-signature.js';
import { placeRanks } from './place-ranks.js';
import type { NodeTable } from './types.js';

/**
 * Orders siblings by name, the unnamed last; those alike in name by their place in the bind pose;
 * those alike in both by what hangs on them. Exporters shuffle lists of nodes, so that the order in the
 * file says nothing, and what is found must not depend on it.
 *
 * @param world World matrices at rest, 16 numbers a node: the places of nodes that no skin binds.
 */
export function orderSiblings(
  document: GltfDocument,
  decoded: Decoded,
  world: Float64Array,
): Pick<NodeTable, 'children' | 'tops'> {
  const { nodes, parents } = document;
  const placesOf = bindFinder(document, decoded, world);
  const byPlace = (alike: readonly number[]): number[] => {
    const ranks = placeRanks(placesOf(alike));
    const rankOf = new Map(alike.map((node, index) => [node, ranks[index] ?? 0]));
    // Nearly all are apart: what hangs on them is only read where two are not.
    const signatures = new Set(ranks).size === alike.length ? [] : signaturesOf(document);
    return [...alike].sort(
      (a, b) =>
        (rankOf.get(a) ?? 0) - (rankOf.get(b) ?? 0) ||
        compareTexts(signatures[a] ?? '', signatures[b] ?? ''),
    );
  };
  const sorted = (siblings: readonly number[]): readonly number[] => {
    if (siblings.length < 2) return siblings;
    const order = [...siblings].sort((a, b) => compareNames(nodes[a], nodes[b]));
    const alike = groupBy(order, (node) => nameOf(nodes[node]));
    return [...alike.values()].flatMap((group) => (group.length === 1 ? group : byPlace(group)));
  };
  const tops = nodes.flatMap((_, node) => (parents[node] === -1 ? [node] : []));
  return { children: nodes.map(({ children }) => sorted(children)), tops: sorted(tops) };
}

function nameOf(node: GltfNode | undefined): string | null {
  return isNamed(node?.name) ? node.name : null;
}

/** The unnamed last. */
function compareNames(a: GltfNode | undefined, b: GltfNode | undefined): number {
  const [name, other] = [nameOf(a), nameOf(b)];
  if (name === null || other === null) return Number(name === null) - Number(other === null);
  return compareTexts(name, other);
}

/** By code units: the same on every machine, in every language. */
export function compareTexts(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
