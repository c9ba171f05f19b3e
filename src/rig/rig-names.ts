import { isNamed } from './node-name.js';
import type { JointTable, NodeTable } from './types.js';

/** Nodes above a rig that its name may take in. */
const MOST_ABOVE = 8;

/**
 * A name for each rig of an asset, each its own: that of its topmost joint, of several the one that
 * carries most joints. Rigs that share it are told apart by what holds them, else by their order. Skins
 * and meshes name no rig: exporters rename them, and a rig has several.
 */
export function rigNames(nodes: NodeTable, tables: readonly JointTable[]): string[] {
  const ways = tables.map((table) => wayTo(nodes, mainTop(table)));
  const names = ways.map((way) => {
    const alike = ways.filter((other) => other !== way && other.at(-1) === way.at(-1));
    const apart = (length: number): boolean =>
      alike.every((other) => textOf(other, length) !== textOf(way, length));
    const enough = way.findIndex((_, at) => apart(at + 1));
    return textOf(way, alike.length === 0 || enough === -1 ? 1 : enough + 1);
  });
  const seen = new Map<string, number>();
  return names.map((name) => {
    const repeat = (seen.get(name) ?? 0) + 1;
    seen.set(name, repeat);
    return repeat > 1 ? `${name}[${repeat}]` : name;
  });
}

/** The last names of a way, as a path. */
function textOf(way: readonly string[], length: number): string {
  return way.slice(-length).join('/');
}

/** The topmost joint that carries most joints, the first of several. */
function mainTop({ count, parent, node }: JointTable): number {
  const carried = new Int32Array(count).fill(1);
  for (let joint = count - 1; joint >= 0; joint--) {
    const above = parent[joint] ?? -1;
    if (above !== -1) carried[above] = (carried[above] ?? 0) + (carried[joint] ?? 0);
  }
  let best = -1;
  for (let joint = 0; joint < count; joint++) {
    if (parent[joint] !== -1) continue;
    if (best === -1 || (carried[joint] ?? 0) > (carried[best] ?? 0)) best = joint;
  }
  return node[best] ?? -1;
}

/** Names from above down to a node, those that there are. */
function wayTo(nodes: NodeTable, node: number): string[] {
  const way: string[] = [];
  for (let at = node; at !== -1 && way.length < MOST_ABOVE; at = nodes.parent[at] ?? -1) {
    const name = nodes.names[at];
    if (isNamed(name)) way.unshift(name);
  }
  return way.length === 0 ? ['unnamed'] : way;
}
