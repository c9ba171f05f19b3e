import type { Decoded } from '../asset/decode.js';
import { AssetError } from '../asset/errors.js';
import type { GltfDocument } from '../asset/gltf-types.js';
import { decompose } from './decompose.js';
import { compose, mat4At, multiply } from './mat4.js';
import { orderSiblings } from './sibling-order.js';
import type { NodeTable } from './types.js';

/** Beyond this no length can be squared and stored again as a float. */
const LARGEST = 1e30;

/**
 * Lays the nodes of a document out as arrays and works out their world matrices at rest. Throws
 * AssetError where one of them has numbers that cannot be used.
 *
 * @param decoded Inverse bind matrices, by which siblings without a name are ordered.
 */
export function buildNodeTable(document: GltfDocument, decoded: Decoded): NodeTable {
  const count = document.nodes.length;
  const translation = new Float64Array(3 * count);
  const rotation = new Float64Array(4 * count);
  const scale = new Float64Array(3 * count);
  const local = new Float64Array(16 * count);
  for (const [index, node] of document.nodes.entries()) {
    const matrix = mat4At(local, index);
    const parts = node.matrix === null ? node : decompose(Float64Array.from(node.matrix));
    if (node.matrix === null) compose(node.translation, node.rotation, node.scale, matrix);
    else matrix.set(node.matrix);
    translation.set(parts.translation, 3 * index);
    rotation.set(parts.rotation, 4 * index);
    scale.set(parts.scale, 3 * index);
  }
  const stored = document.nodes.map((node) => node.children);
  const tops = document.nodes.flatMap((_, node) => (document.parents[node] === -1 ? [node] : []));
  const world = worldMatrices(local, document.parents, treeOrder(stored, tops));
  // Also true for NaN.
  const unusable = world.findIndex((value) => !(Math.abs(value) < LARGEST));
  if (unusable !== -1)
    throw new AssetError(
      'the world matrix of the node has numbers that cannot be used',
      `/nodes/${Math.floor(unusable / 16)}`,
    );
  const siblings = orderSiblings(document, decoded, world);
  return {
    count,
    parent: document.parents,
    ...siblings,
    order: treeOrder(siblings.children, siblings.tops),
    names: document.nodes.map((node) => node.name),
    translation,
    rotation,
    scale,
    local,
    world,
  };
}

/** Nodes with parents before children; a stack, since a chain can be deeper than the call stack. */
function treeOrder(children: readonly (readonly number[])[], tops: readonly number[]): Int32Array {
  const order = new Int32Array(children.length);
  const stack = [...tops].reverse();
  let at = 0;
  for (let node = stack.pop(); node !== undefined; node = stack.pop()) {
    order[at++] = node;
    const below = children[node] ?? [];
    for (let place = below.length - 1; place >= 0; place--) stack.push(below[place] ?? 0);
  }
  return order;
}

/** World = parent world x local (glTF 2.0, 3.5.3 Transformations). */
function worldMatrices(local: Float64Array, parents: Int32Array, order: Int32Array): Float64Array {
  const world = new Float64Array(local.length);
  for (const node of order) {
    const parent = parents[node] ?? -1;
    const out = mat4At(world, node);
    if (parent === -1) out.set(mat4At(local, node));
    else multiply(mat4At(world, parent), mat4At(local, node), out);
  }
  return world;
}
