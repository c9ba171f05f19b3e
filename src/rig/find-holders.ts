import { groupBy } from './group-by.js';
import type { JointTable, NodeTable, Rig } from './types.js';

/**
 * The holders of each rig of an asset. A node above all topmost joints does nothing but hold, unless it
 * is a bone of a body that no skin lists:
 * - it shows a mesh that no skin moves;
 * - such a mesh hangs below it, not by way of a joint, and so do several rigs (a prop beside one rig does
 *   not make its holder a bone);
 * - some topmost joints of a rig hang on it and others on another branch.
 *
 * @param placed 1 for each node that places its mesh itself: no skin moves it.
 */
export function findHolders(
  nodes: NodeTable,
  tables: readonly JointTable[],
  placed: Uint8Array,
): Pick<Rig, 'holders' | 'holderWays' | 'hasCommonRoot'>[] {
  const isJoint = new Uint8Array(nodes.count);
  for (const { node } of tables) for (const index of node) isJoint[index] = 1;
  const isBone = Uint8Array.from(placed);
  const rigsBelow = new Uint32Array(nodes.count);
  const found = tables.map((table) => {
    const above = nodesAbove(nodes, table);
    for (const node of above.partly) isBone[node] = 1;
    for (const node of above.holders) rigsBelow[node] = (rigsBelow[node] ?? 0) + 1;
    return above;
  });
  carriesFlesh(nodes, isJoint, placed).forEach((carries, node) => {
    if (carries === 1 && (rigsBelow[node] ?? 0) > 1) isBone[node] = 1;
  });
  return found.map(({ holders, trees }) => ({
    holders,
    holderWays: trees
      .map((tree) => tree.filter((node) => isBone[node] === 0))
      .filter((tree) => tree.length > 0),
    hasCommonRoot: trees.length <= 1,
  }));
}

/** 1 for each node with such a mesh on it, or below it by way of nodes that are not joints. */
function carriesFlesh(nodes: NodeTable, isJoint: Uint8Array, placed: Uint8Array): Uint8Array {
  const carries = Uint8Array.from(placed);
  for (let at = nodes.order.length - 1; at >= 0; at--) {
    const node = nodes.order[at] ?? 0;
    const parent = nodes.parent[node] ?? -1;
    if (carries[node] === 1 && isJoint[node] === 0 && parent !== -1) carries[parent] = 1;
  }
  return carries;
}

/**
 * @returns `holders` from the scene down; as `trees`, for each tree of nodes those above all its topmost
 * joints; as `partly`, those above some of them and not all.
 */
function nodesAbove(
  nodes: NodeTable,
  joints: JointTable,
): { holders: number[]; trees: number[][]; partly: number[] } {
  const topmost = new Set(joints.node.filter((_, joint) => joints.parent[joint] === -1));
  // How many topmost joints are at or below each node: children before parents.
  const counts = new Uint32Array(nodes.count);
  for (const node of topmost) counts[node] = 1;
  const countOf = (node: number): number => counts[node] ?? 0;
  for (const node of nodes.order.toReversed()) {
    const parent = nodes.parent[node] ?? -1;
    if (parent !== -1) counts[parent] = countOf(parent) + countOf(node);
  }
  const holders = Array.from(nodes.order).filter((node) => countOf(node) > 0 && !topmost.has(node));
  const treeOf = new Map<number, number>();
  for (const node of holders) treeOf.set(node, treeOf.get(nodes.parent[node] ?? -1) ?? node);
  const isWhole = (node: number): boolean => countOf(node) === countOf(treeOf.get(node) ?? node);
  const whole = groupBy(holders.filter(isWhole), (node) => treeOf.get(node));
  const tops = nodes.tops.filter((top) => countOf(top) > 0).reverse();
  return {
    holders,
    trees: tops.map((top) => whole.get(top) ?? []),
    partly: holders.filter((node) => !isWhole(node)),
  };
}
