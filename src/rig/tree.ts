import type { JointTable } from './types.js';

/** Passes over all joints at once: parents come before their children. */
type Tree = Pick<JointTable, 'parent'>;

/** 1 for each joint that is marked itself, or has a marked joint below it. */
export function spreadUp({ parent }: Tree, marked: Uint8Array): Uint8Array {
  const marks = Uint8Array.from(marked);
  for (let joint = marks.length - 1; joint >= 0; joint--) {
    const above = parent[joint] ?? -1;
    if (above !== -1 && marks[joint] === 1) marks[above] = 1;
  }
  return marks;
}

/** 1 for each joint that is marked itself, or has a marked joint above it. */
export function spreadDown({ parent }: Tree, marked: Uint8Array): Uint8Array {
  const marks = Uint8Array.from(marked);
  for (let joint = 0; joint < marks.length; joint++)
    if (marks[parent[joint] ?? -1] === 1) marks[joint] = 1;
  return marks;
}

/** 1 for the top of a branch and all below it. */
export function branchOf(tree: Tree, top: number): Uint8Array {
  return spreadDown(tree, new Uint8Array(tree.parent.length).fill(1, top, top + 1));
}

/** The numbers of each joint and of all below it, added up. */
export function sumsBelow({ parent }: Tree, numbers: ArrayLike<number>): Float64Array {
  const sums = Float64Array.from(numbers);
  for (let joint = sums.length - 1; joint >= 0; joint--) {
    const above = parent[joint] ?? -1;
    if (above !== -1) sums[above] = (sums[above] ?? 0) + (sums[joint] ?? 0);
  }
  return sums;
}
