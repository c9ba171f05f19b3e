import { isNamed, pathStep } from './node-name.js';
import type { NodeTable } from './types.js';

/** Names from the scene down, written as the paths of joints are. */
export function nodePath(nodes: NodeTable, node: number): string[] {
  const path: string[] = [];
  for (let at = node; at !== -1 && path.length < 64; at = nodes.parent[at] ?? -1)
    path.unshift(nodeStep(nodes, at));
  return path;
}

/** An unnamed node by its number among its unnamed siblings, never by its index. */
function nodeStep({ names, parent, children, tops }: NodeTable, node: number): string {
  const siblings = children[parent[node] ?? -1] ?? tops;
  const before = siblings.slice(0, siblings.indexOf(node));
  const name = names[node];
  if (!isNamed(name))
    return `unnamed ${before.filter((other) => !isNamed(names[other])).length + 1}`;
  const repeat = before.filter((other) => names[other] === name).length + 1;
  return pathStep(name, repeat);
}
