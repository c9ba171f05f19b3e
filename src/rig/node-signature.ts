import type { GltfDocument, GltfNode } from '../asset/gltf-types.js';
import { hashDigits, hashOn, NO_TEXT, type TextHash } from './text-hash.js';

const cache = new WeakMap<GltfDocument, readonly string[]>();

/**
 * A text for each node that differs where its branch differs, whatever the order that nodes and siblings
 * are stored in: made of its name, transform and mesh, and of the branches below it.
 */
export function signaturesOf(document: GltfDocument): readonly string[] {
  const signatures = cache.get(document) ?? makeSignatures(document);
  cache.set(document, signatures);
  return signatures;
}

function makeSignatures(document: GltfDocument): string[] {
  const { nodes } = document;
  const signatures = nodes.map(() => '');
  for (const node of fromBelow(document)) {
    const source = nodes[node];
    if (source === undefined) continue;
    const below = source.children.map((child) => signatures[child] ?? '').sort();
    const hash = [contentOf(document, source), ...below].reduce<TextHash>(hashOn, NO_TEXT);
    signatures[node] = hashDigits(hash);
  }
  return signatures;
}

function contentOf({ meshes, skins }: GltfDocument, node: GltfNode): string {
  const { name, matrix, translation, rotation, scale } = node;
  const mesh = node.mesh === null ? null : meshes[node.mesh];
  const skin = node.skin === null ? null : skins[node.skin];
  return JSON.stringify([
    name,
    matrix ?? [translation, rotation, scale],
    mesh && [mesh.name, mesh.primitives.length],
    skin && [skin.name, skin.joints.length],
  ]);
}

/** All nodes, children before parents. */
function fromBelow({ nodes, parents }: GltfDocument): number[] {
  const order = nodes.flatMap((_, node) => (parents[node] === -1 ? [node] : []));
  // The list grows while it is walked: each node brings its children.
  for (const node of order) for (const child of nodes[node]?.children ?? []) order.push(child);
  return order.reverse();
}
