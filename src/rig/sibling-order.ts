import type { Decoded } from '../asset/decode.js';
import type { GltfDocument, GltfNode } from '../asset/gltf-types.js';
import { bindFinder } from './bind-finder.js';
import { isNamed } from './node-name.js';
import { signaturesOf } from './node-signature.js';
import { placeRanks } from './place-ranks.js';

/** Siblings in an order that no export changes, as node indices. */
export interface SiblingOrder {
  readonly children: readonly (readonly number[])[];
  /** Nodes without a parent. */
  readonly tops: readonly number[];
}

/**
 * Orders siblings by name, the unnamed last; those alike in name by where they stand in the bind pose;
 * those alike in both by what hangs on them. Exporters shuffle lists of nodes, so that the order in the
 * file says nothing, and what is found must not depend on it.
 *
 * @param world World matrices at rest, 16 numbers a node: where nodes stand that no skin binds.
 */
export function orderSiblings(
  document: GltfDocument,
  decoded: Decoded,
  world: Float64Array,
): SiblingOrder {
  const { nodes, parents } = document;
  const placesOf = bindFinder(document, decoded, world);
  const byPlace = (alike: readonly number[]): number[] => {
    const ranks = placeRanks(placesOf(alike));
    const rankOf = new Map(alike.map((node, at) => [node, ranks[at] ?? 0]));
    const rank = (node: number): number => rankOf.get(node) ?? 0;
    // Nearly all stand apart: what hangs on them is only read where two do not.
    const signatures = new Set(ranks).size === alike.length ? [] : signaturesOf(document);
    const signature = (node: number): string => signatures[node] ?? '';
    return [...alike].sort((a, b) => rank(a) - rank(b) || compareTexts(signature(a), signature(b)));
  };
  const sorted = (siblings: readonly number[]): readonly number[] => {
    if (siblings.length < 2) return siblings;
    const order = [...siblings].sort((a, b) => compareNames(nodes[a], nodes[b]));
    return runsOf(order, (a, b) => compareNames(nodes[a], nodes[b]) === 0).flatMap((alike) =>
      alike.length === 1 ? alike : byPlace(alike),
    );
  };
  const tops = nodes.flatMap((_, node) => (parents[node] === -1 ? [node] : []));
  return { children: nodes.map(({ children }) => sorted(children)), tops: sorted(tops) };
}

function compareNames(a: GltfNode | undefined, b: GltfNode | undefined): number {
  const [named, other] = [isNamed(a?.name), isNamed(b?.name)];
  if (!named || !other) return Number(other) - Number(named);
  return compareTexts(a?.name ?? '', b?.name ?? '');
}

/** By code units: the same on every machine, in every language. */
export function compareTexts(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

/** Neighbours in a list that are alike, together. */
function runsOf(
  list: readonly number[],
  alike: (a: number, b: number) => boolean,
): readonly (readonly number[])[] {
  const runs: number[][] = [];
  for (const item of list) {
    const run = runs.at(-1);
    const first = run?.[0];
    if (run !== undefined && first !== undefined && alike(first, item)) run.push(item);
    else runs.push([item]);
  }
  return runs;
}
