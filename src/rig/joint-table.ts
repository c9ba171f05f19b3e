import type { JointTable, NodeTable } from './types.js';

/** Orders the given nodes as joints, with parents, paths and the spacers between them. */
export function buildJointTable(nodes: NodeTable, members: ReadonlySet<number>): JointTable {
  const node = Int32Array.from(nodes.order).filter((index) => members.has(index));
  const ofNode = new Int32Array(nodes.count).fill(-1);
  node.forEach((index, joint) => {
    ofNode[index] = joint;
  });
  const count = node.length;
  const parent = new Int32Array(count).fill(-1);
  const depth = new Int32Array(count);
  const children: number[][] = Array.from({ length: count }, () => []);
  const spacers: number[][] = Array.from({ length: count }, () => []);
  const roots: number[] = [];
  // The nearest joint at or above each node, made from above, so that a long run of spacers costs
  // no more than a short one.
  const jointAbove = nearestJoints(nodes, ofNode);
  for (let joint = 0; joint < count; joint++) {
    const above = nodes.parent[node[joint] ?? 0] ?? -1;
    const parentJoint = above === -1 ? -1 : (jointAbove[above] ?? -1);
    parent[joint] = parentJoint;
    if (parentJoint === -1) {
      roots.push(joint);
      continue;
    }
    depth[joint] = (depth[parentJoint] ?? 0) + 1;
    children[parentJoint]?.push(joint);
    for (
      let between = above;
      between !== node[parentJoint];
      between = nodes.parent[between] ?? -1
    ) {
      spacers[joint]?.unshift(between);
    }
  }
  const { names, paths } = nameJoints(nodes, node, roots, children);
  const named = Array.from(node, (index) => isNamed(nodes.names[index]));
  return { count, node, parent, children, names, named, paths, spacers, depth, ofNode };
}

function nearestJoints(nodes: NodeTable, ofNode: Int32Array): Int32Array {
  const nearest = new Int32Array(nodes.count).fill(-1);
  for (const index of nodes.order) {
    const own = ofNode[index] ?? -1;
    const parent = nodes.parent[index] ?? -1;
    nearest[index] = own !== -1 ? own : parent === -1 ? -1 : (nearest[parent] ?? -1);
  }
  return nearest;
}

/** A name of nothing but white space is none. */
export function isNamed(name: string | null | undefined): name is string {
  return name != null && name.trim() !== '';
}

/**
 * Names and paths. Siblings that share a name get their number among them, so that a path names
 * one joint; nothing in it depends on node indices, which change with every export.
 */
function nameJoints(
  nodes: NodeTable,
  node: Int32Array,
  roots: readonly number[],
  children: readonly (readonly number[])[],
): { names: string[]; paths: string[] } {
  const names: string[] = Array.from(node, () => '');
  const paths: string[] = Array.from(node, () => '');
  const label = (siblings: readonly number[], above: string): void => {
    const seen = new Map<string, number>();
    siblings.forEach((joint, place) => {
      const given = nodes.names[node[joint] ?? 0];
      const name = isNamed(given) ? given : `unnamed ${place + 1}`;
      const repeat = (seen.get(name) ?? 0) + 1;
      seen.set(name, repeat);
      const step = name.replace(/\//g, '\\/') + (repeat > 1 ? `[${repeat}]` : '');
      names[joint] = name;
      paths[joint] = joinPath(above, step);
    });
  };
  label(roots, '');
  for (let joint = 0; joint < node.length; joint++)
    label(children[joint] ?? [], paths[joint] ?? '');
  return { names, paths };
}

/** A path of thousands of names helps nobody and costs memory by the square: its middle is cut. */
function joinPath(above: string, step: string): string {
  if (above === '') return step;
  if (above.length < PATH_LENGTH) return `${above}/${step}`;
  const cut = above.indexOf('/.../');
  const head = cut === -1 ? above.slice(0, PATH_LENGTH / 2) : above.slice(0, cut);
  const tail = cut === -1 ? 1 : Number(/\/\.\.\.\/(\d+) more\//.exec(above)?.[1] ?? 0) + 1;
  return `${head}/.../${tail} more/${step}`;
}

const PATH_LENGTH = 4096;
