import { isNamed, pathStep } from './node-name.js';
import { hashDigits, hashOn, NO_TEXT, type TextHash } from './text-hash.js';
import type { JointTable, NodeTable } from './types.js';

/** Orders the given nodes as joints, with parents, paths and the spacers between them. */
export function buildJointTable(nodes: NodeTable, members: ReadonlySet<number>): JointTable {
  const node = Int32Array.from(nodes.order).filter((index) => members.has(index));
  const ofNode = new Int32Array(nodes.count).fill(-1);
  for (const [joint, index] of node.entries()) ofNode[index] = joint;
  const count = node.length;
  const parent = new Int32Array(count).fill(-1);
  const depth = new Int32Array(count);
  const children: number[][] = Array.from({ length: count }, () => []);
  const spacers: (readonly number[])[] = Array.from({ length: count }, () => []);
  const runs = new Map<number, readonly number[]>();
  const roots: number[] = [];
  // The nearest joint at or above each node, made from above, so that a long run of spacers costs
  // no more than a short one.
  const nearest = new Int32Array(nodes.count).fill(-1);
  for (const index of nodes.order) {
    const joint = ofNode[index] ?? -1;
    nearest[index] = joint === -1 ? (nearest[nodes.parent[index] ?? -1] ?? -1) : joint;
  }
  for (let joint = 0; joint < count; joint++) {
    const above = nodes.parent[node[joint] ?? 0] ?? -1;
    const parentJoint = nearest[above] ?? -1;
    parent[joint] = parentJoint;
    if (parentJoint === -1) {
      roots.push(joint);
      continue;
    }
    depth[joint] = (depth[parentJoint] ?? 0) + 1;
    children[parentJoint]?.push(joint);
    spacers[joint] = spacersUp(nodes, above, node[parentJoint] ?? -1, runs);
  }
  const { names, paths } = nameJoints(nodes, node, roots, children);
  const named = Array.from(node, (index) => isNamed(nodes.names[index]));
  return { count, node, parent, children, names, named, paths, spacers, depth, ofNode };
}

/** The run of spacers that ends at `last`, from above to below; joints below the same one share it. */
function spacersUp(
  nodes: NodeTable,
  last: number,
  parentNode: number,
  runs: Map<number, readonly number[]>,
): readonly number[] {
  if (last === parentNode) return [];
  const shared = runs.get(last);
  if (shared !== undefined) return shared;
  const run: number[] = [];
  for (let node = last; node !== parentNode; node = nodes.parent[node] ?? -1) run.push(node);
  runs.set(last, run.reverse());
  return run;
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
  const paths: Path[] = Array.from(node, () => NO_STEPS);
  const label = (siblings: readonly number[], above: Path): void => {
    const seen = new Map<string, number>();
    let unnamed = 0;
    siblings.forEach((joint) => {
      const given = nodes.names[node[joint] ?? 0];
      const name = isNamed(given) ? given : `unnamed ${++unnamed}`;
      const repeat = (seen.get(name) ?? 0) + 1;
      seen.set(name, repeat);
      names[joint] = name;
      paths[joint] = withStep(above, pathStep(name, repeat));
    });
  };
  label(roots, NO_STEPS);
  for (const [joint, siblings] of children.entries()) label(siblings, paths[joint] ?? NO_STEPS);
  return { names, paths: paths.map(({ text }) => text) };
}

interface Path {
  readonly text: string;
  /** First step, steps so far, letters of the whole path, and two hashes of all steps. */
  readonly top: string;
  readonly steps: number;
  readonly letters: number;
  readonly hash: TextHash;
}

const NO_STEPS: Path = { text: '', top: '', steps: 0, letters: 0, hash: NO_TEXT };

/** A longer path helps nobody, and thousands of them cost memory by the square. */
const PATH_LETTERS = 4096;

/** Past that length the steps between the first and the last are given by number and hash. */
function withStep(above: Path, step: string): Path {
  const top = above.steps === 0 ? step : above.top;
  const letters = above.letters + step.length + 1;
  const hash = hashOn(above.hash, step);
  const steps = above.steps + 1;
  const whole = above.steps === 0 ? step : `${above.text}/${step}`;
  const cut = (): string => `${top}/(${above.steps - 1} joints, ${hashDigits(above.hash)})/${step}`;
  const text = letters <= PATH_LETTERS || above.steps <= 1 ? whole : cut();
  return { text, top, steps, letters, hash };
}
