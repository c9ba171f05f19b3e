import { isNamed } from './node-name.js';
import { sumsBelow } from './tree.js';
import type { JointTable, NodeTable } from './types.js';

/** Nodes above a rig that its name may take in. */
const MOST_ABOVE = 8;

/**
 * A name for each rig of an asset, no two alike: that of its topmost joint, of several the one that
 * carries most joints. Rigs that share it get the names of their holders too, else a number. Skins
 * and meshes name no rig: exporters rename them, and a rig has several.
 */
export function rigNames(nodes: NodeTable, tables: readonly JointTable[]): string[] {
  const paths = tables.map((table) => namesDownTo(nodes, mainTop(table)));
  const names = paths.map((path) => {
    const alike = paths.filter((other) => other !== path && other.at(-1) === path.at(-1));
    const isApart = (length: number): boolean =>
      alike.every((other) => lastNames(other, length) !== lastNames(path, length));
    const enough = path.findIndex((_, index) => isApart(index + 1));
    return lastNames(path, alike.length === 0 || enough === -1 ? 1 : enough + 1);
  });
  return names.map(numberedNames());
}

/** A function that gives a name back, with its number in brackets where it came before. */
export function numberedNames(): (name: string) => string {
  const seen = new Map<string, number>();
  return (name) => {
    const repeat = (seen.get(name) ?? 0) + 1;
    seen.set(name, repeat);
    return repeat > 1 ? `${name}[${repeat}]` : name;
  };
}

function lastNames(path: readonly string[], length: number): string {
  return path.slice(-length).join('/');
}

/** The topmost joint that carries most joints, the first of several. */
function mainTop({ count, parent, node }: JointTable): number {
  const carried = sumsBelow({ parent }, new Uint8Array(count).fill(1));
  const [main = -1] = [...parent.keys()]
    .filter((joint) => parent[joint] === -1)
    .sort((a, b) => (carried[b] ?? 0) - (carried[a] ?? 0));
  return node[main] ?? -1;
}

/** The names from above down to a node, unnamed nodes left out. */
function namesDownTo(nodes: NodeTable, node: number): string[] {
  const path: string[] = [];
  for (let at = node; at !== -1 && path.length < MOST_ABOVE; at = nodes.parent[at] ?? -1) {
    const name = nodes.names[at];
    if (isNamed(name)) path.unshift(name);
  }
  return path.length === 0 ? ['unnamed'] : path;
}
