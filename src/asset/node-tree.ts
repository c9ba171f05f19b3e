import { AssetError } from './errors.js';
import type { GltfNode } from './gltf-types.js';

/**
 * The parent of each node, -1 at the top.
 *
 * Throws AssetError unless the nodes form disjoint strict trees (glTF 2.0, 3.5.2 Node Hierarchy):
 * a node with two parents, or nodes in a circle.
 */
export function nodeParents(nodes: readonly GltfNode[]): Int32Array {
  const parents = new Int32Array(nodes.length).fill(-1);
  nodes.forEach((node, index) => {
    node.children.forEach((child, place) => {
      const other = parents[child] ?? -1;
      if (other !== -1)
        throw new AssetError(
          `node ${child} has two parents, nodes ${other} and ${index}`,
          `/nodes/${index}/children/${place}`,
        );
      parents[child] = index;
    });
  });
  refuseCircles(parents);
  return parents;
}

/** Walks up from every node once; meeting the walk's own mark again is a circle. */
function refuseCircles(parents: Int32Array): void {
  const mark = new Int32Array(parents.length);
  for (let start = 0; start < parents.length; start++) {
    const walk = start + 1;
    let node = start;
    while (node !== -1 && mark[node] === 0) {
      mark[node] = walk;
      node = parents[node] ?? -1;
    }
    if (node !== -1 && mark[node] === walk)
      throw new AssetError(`node ${node} is its own ancestor`, `/nodes/${node}/children`);
  }
}
