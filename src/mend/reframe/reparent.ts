import type { NodeTable } from '../../rig/types.js';
import type { GltfJson } from '../json/gltf-json.js';

/** Hangs nodes on other parents, in the place among siblings of what hung there before. */
export function reparent(
  json: GltfJson,
  nodes: NodeTable,
  parents: ReadonlyMap<number, number>,
): void {
  if (parents.size === 0) return;
  for (const [node, parent] of parents) {
    const old = nodes.parent[node] ?? -1;
    const from = json.nodes?.[old];
    if (from?.children !== undefined) from.children = from.children.filter((at) => at !== node);
    const to = json.nodes?.[parent];
    if (to !== undefined) to.children = [...(to.children ?? []), node];
  }
  // A list without entries is none that glTF allows.
  for (const node of json.nodes ?? []) if (node.children?.length === 0) delete node.children;
  const tops = [...parents].filter(([node, parent]) => {
    const old = nodes.parent[node] ?? -1;
    return parents.has(old) && !parents.has(parent);
  });
  for (const [top] of tops) {
    const run = runBelow(top, parents);
    for (const scene of json.scenes ?? [])
      if (scene.nodes !== undefined)
        scene.nodes = scene.nodes.map((node) => (run.has(node) ? top : node));
    for (const skin of json.skins ?? [])
      if (skin.skeleton !== undefined && run.has(skin.skeleton)) skin.skeleton = top;
  }
}

/** The nodes of a run that was turned round, from its new top on. */
function runBelow(top: number, parents: ReadonlyMap<number, number>): Set<number> {
  const run = new Set([top]);
  for (let grown = true; grown; ) {
    grown = false;
    for (const [node, parent] of parents)
      if (run.has(parent) && !run.has(node)) {
        run.add(node);
        grown = true;
      }
  }
  return run;
}
