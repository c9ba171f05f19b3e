import type { NodeTable } from '../../rig/types.js';

/**
 * Which nodes of a file of clips belong to the skeleton, judged by those that are known to: all at and
 * below the lowest node that these have in common, and the nodes above it. Where they have none in
 * common, every tree with one of them; where none is known, all.
 */
export function countedNodes(
  { parent, order }: NodeTable,
  known: readonly number[],
): (node: number) => boolean {
  if (known.length === 0) return () => true;
  const below = new Map<number, number>();
  for (const node of known) below.set(node, (below.get(node) ?? 0) + 1);
  // From below: children come after their parents.
  for (let at = order.length - 1; at >= 0; at--) {
    const node = order[at] ?? 0;
    const above = parent[node] ?? -1;
    below.set(above, (below.get(above) ?? 0) + (below.get(node) ?? 0));
  }
  const inside = new Set<number>();
  // -1 stands above all trees. The lowest with all of them below it is the last in order.
  let lowest = -1;
  for (const node of order) if (below.get(node) === known.length) lowest = node;
  for (const node of order) {
    const above = parent[node] ?? -1;
    const count = below.get(node) ?? 0;
    const isIn = lowest === -1 ? count > 0 || inside.has(above) : count === known.length;
    if (isIn || above === lowest || (inside.has(above) && below.get(above) !== known.length))
      inside.add(node);
  }
  return (node) => inside.has(node);
}
