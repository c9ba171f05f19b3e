import { groupBy } from '../../rig/group-by.js';
import { isNamed } from '../../rig/node-name.js';
import type { NodeTable } from '../../rig/types.js';

/** Of more nodes of one name, only the first are compared by what stands above them. */
const MOST_NAMESAKES = 256;
/** So many names above a node are compared at most. */
const MOST_STEPS = 64;

/**
 * Finds the nodes that clips of another file pose. A clip that is carried over to another file goes by
 * names alone: of several nodes of one name, the one under the same names for the longest way up is
 * meant, which is that of the same path where there is one.
 */
export class ClipNodes {
  private readonly byName: ReadonlyMap<string | null, readonly number[]>;
  private readonly nodes: NodeTable;

  /** `among` are the nodes that can be found: those of a rig, or all. */
  constructor(nodes: NodeTable, among: Iterable<number> = nodes.order) {
    this.nodes = nodes;
    this.byName = groupBy(among, (node) => nodes.names[node] ?? null);
  }

  /** The node that a node of another file is here; -1 for none. A node without a name is found by nobody. */
  find(from: NodeTable, node: number): number {
    const name = from.names[node] ?? null;
    if (!isNamed(name)) return -1;
    const namesakes = (this.byName.get(name) ?? []).slice(0, MOST_NAMESAKES);
    if (namesakes.length < 2) return namesakes[0] ?? -1;
    const steps = namesakes.map((at) => this.sharedSteps(from, node, at));
    return namesakes[steps.indexOf(Math.max(...steps))] ?? -1;
  }

  /** How many names in a row are alike, from two nodes upwards; one more where both ways end with them. */
  private sharedSteps(from: NodeTable, node: number, own: number): number {
    let [theirs, ours, steps] = [node, own, 0];
    while (theirs !== -1 && ours !== -1 && steps < MOST_STEPS) {
      if (from.names[theirs] !== this.nodes.names[ours]) return steps;
      [theirs, ours] = [from.parent[theirs] ?? -1, this.nodes.parent[ours] ?? -1];
      steps++;
    }
    return theirs === ours ? steps + 1 : steps;
  }
}
