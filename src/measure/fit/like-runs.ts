import type { JointTable } from '../../rig/types.js';

/** Joints of a model in a row, with no branch between them: an arm from the collarbone to the hand. */
export interface Run {
  /** What the first hangs on, -1 for nothing. */
  readonly above: number;
  readonly joints: readonly number[];
}

/** All joints in runs: each begins at the top or below a branching joint, and ends at a branching joint or a tip. */
export function likeRuns({ parent, children, count }: JointTable): Run[] {
  const runs: Run[] = [];
  for (let start = 0; start < count; start++) {
    const above = parent[start] ?? -1;
    if (above !== -1 && children[above]?.length === 1) continue;
    const joints = [start];
    for (let below = children[start]; below?.length === 1; below = children[below[0] ?? -1])
      joints.push(below[0] ?? -1);
    runs.push({ above, joints });
  }
  return runs;
}

/** The part of a run between two joints that have an answer, on both sides. */
export interface OwnWay {
  /** Joints of the model between the two. */
  readonly inner: readonly number[];
  /** Joints of the rig between their answers. */
  readonly joints: readonly number[];
  /** The answers of the two, from above to below. */
  readonly top: number;
  readonly bottom: number;
}

/** Null where fewer than two joints have answers, or the lower answer does not hang below the upper one. */
export function ownWay(
  { above, joints }: Run,
  ofModel: Int32Array,
  parent: Int32Array,
): OwnWay | null {
  const all = above === -1 ? joints : [above, ...joints];
  const has = (joint: number): boolean => (ofModel[joint] ?? -1) !== -1;
  const [first, last] = [all.findIndex(has), all.findLastIndex(has)];
  if (first === last) return null;
  const [top, bottom] = [ofModel[all[first] ?? -1] ?? -1, ofModel[all[last] ?? -1] ?? -1];
  const way: number[] = [];
  for (let at = parent[bottom] ?? -1; at !== top; at = parent[at] ?? -1) {
    if (at === -1) return null;
    way.push(at);
  }
  return { inner: all.slice(first + 1, last), joints: way.reverse(), top, bottom };
}
