import type { JointTable } from './types.js';

/** Passes over all joints at once: parents come before their children, each branch in one piece. */
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

/** 1 for the top of a branch and all below it, which come after it in one piece; none for -1. */
export function branchOf({ parent }: Tree, top: number): Uint8Array {
  const marks = new Uint8Array(parent.length);
  if (top === -1) return marks;
  let end = top + 1;
  while ((parent[end] ?? -1) >= top) end++;
  return marks.fill(1, top, end);
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
