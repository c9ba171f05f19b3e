import type { JointTable, NodeTable, Rig } from './types.js';

/**
 * The holders of each rig of an asset. A node above all topmost joints holds the rig, unless it is part
 * of a body that no skin lists: it shows a mesh that no skin places; such a mesh hangs on it, not by way
 * of a joint, and several rigs do (a prop beside one rig makes no bone of its holder); or some topmost
 * joints of a rig hang on it and others on another branch.
 *
 * @param placed 1 for each node that shows a mesh where it stands: one that no skin moves.
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
  return found.map(({ holders, ways }) => ({
    holders,
    holderWays: ways
      .map((way) => way.filter((node) => isBone[node] === 0))
      .filter((way) => way.length > 0),
    hasCommonRoot: ways.length <= 1,
  }));
}

/** 1 for each node with a mesh of its own, on it or below it by way of nodes that are no joints. */
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
 * @returns `holders` from the scene down; as `ways`, for each tree of nodes those above all its topmost
 * joints; as `partly`, those above some of them and not all.
 */
function nodesAbove(
  nodes: NodeTable,
  joints: JointTable,
): { holders: number[]; ways: number[][]; partly: number[] } {
  const starts = Array.from(joints.node).filter((_, joint) => joints.parent[joint] === -1);
  // How many topmost joints hang on each node. Each node is reached once for each of its branches.
  const topsBelow = new Map<number, number>();
  const trees = new Map<number, number>();
  const pending = new Map<number, number>();
  for (const start of starts) {
    const parent = nodes.parent[start] ?? -1;
    if (parent === -1) trees.set(start, 1);
    else pending.set(parent, (pending.get(parent) ?? 0) + 1);
  }
  // Children before parents, so that counts are whole when they are handed up.
  for (let at = nodes.order.length - 1; at >= 0 && pending.size > 0; at--) {
    const node = nodes.order[at] ?? 0;
    const count = pending.get(node);
    if (count === undefined) continue;
    pending.delete(node);
    topsBelow.set(node, count);
    const parent = nodes.parent[node] ?? -1;
    if (parent === -1) trees.set(node, count);
    else pending.set(parent, (pending.get(parent) ?? 0) + count);
  }
  const holders = Array.from(nodes.order).filter((node) => topsBelow.has(node));
  const ways = new Map([...trees.keys()].map((top) => [top, [] as number[]]));
  const treeOf = new Map<number, number>();
  const partly: number[] = [];
  for (const node of holders) {
    const tree = treeOf.get(nodes.parent[node] ?? -1) ?? node;
    treeOf.set(node, tree);
    if (topsBelow.get(node) === trees.get(tree)) ways.get(tree)?.push(node);
    else partly.push(node);
  }
  return { holders, ways: [...ways.values()], partly };
}
