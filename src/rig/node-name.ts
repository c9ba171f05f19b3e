import type { NodeTable } from './types.js';

/** A name of nothing but white space is none. */
export function isNamed(name: string | null | undefined): name is string {
  return name != null && name.trim() !== '';
}

/**
 * A name as a step of a path, with its number among siblings that share it. What the path itself is
 * written with is escaped, so that two paths never look alike.
 */
export function pathStep(name: string, repeat: number): string {
  return name.replace(/[\\/[]/g, '\\$&') + (repeat > 1 ? `[${repeat}]` : '');
}

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
