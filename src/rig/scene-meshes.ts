import type { GltfDocument } from '../asset/gltf-types.js';
import type { JointTable, NodeTable, Rig } from './types.js';

/** 1 for each node that places its mesh itself: a skinned mesh is placed by its joints. */
export function placedMeshes(document: GltfDocument): Uint8Array {
  return Uint8Array.from(document.nodes, ({ mesh, skin }) =>
    mesh !== null && skin === null ? 1 : 0,
  );
}

/** For each rig: what else is in the scene. */
export function besideRigs(
  document: GltfDocument,
  nodes: NodeTable,
  groups: readonly (readonly number[])[],
  tables: readonly JointTable[],
  placed: Uint8Array,
): Rig['beside'][] {
  const objects = countObjects(nodes, tables, placed);
  const used = new Set(document.nodes.flatMap(({ mesh, skin }) => (mesh === null ? [] : [skin])));
  const isShown = groups.map((group) => group.some((skin) => used.has(skin)));
  const shown = isShown.filter(Boolean).length;
  return isShown.map((isCounted) => ({ rigs: shown - (isCounted ? 1 : 0), objects }));
}

/** How many meshes hang on no joint, nor below one. */
function countObjects(nodes: NodeTable, tables: readonly JointTable[], placed: Uint8Array): number {
  const isMoved = new Uint8Array(nodes.count);
  for (const { node } of tables) for (const index of node) isMoved[index] = 1;
  let count = 0;
  for (const node of nodes.order) {
    const parent = nodes.parent[node] ?? -1;
    if (parent !== -1 && isMoved[parent] === 1) isMoved[node] = 1;
    if (placed[node] === 1 && isMoved[node] === 0) count++;
  }
  return count;
}
