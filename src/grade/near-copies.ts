import { groupBy } from '../rig/group-by.js';
import { sameSkeleton } from './same-skeleton.js';
import type { Skeleton } from './skeleton.js';

/** The skeletons of one submission, as far as they are evidence. */
export interface Boned {
  readonly name: string;
  readonly skeletons: readonly Skeleton[];
}

/**
 * For each submission the others that have a rig with the same joints and weights to rounding, in the
 * order given. Only skeletons of one joint tree are compared, so that a class of hundreds takes no time.
 */
export function nearCopies(submissions: readonly Boned[]): ReadonlyMap<string, readonly string[]> {
  const similar = submissions.map(() => new Set<number>());
  for (const group of byTree(submissions)) {
    for (const [at, { owner, skeleton }] of group.entries()) {
      for (const other of group.slice(at + 1)) {
        if (other.owner === owner || similar[owner]?.has(other.owner)) continue;
        if (!sameSkeleton(skeleton, other.skeleton)) continue;
        similar[owner]?.add(other.owner);
        similar[other.owner]?.add(owner);
      }
    }
  }
  const nameOf = (index: number): string => submissions[index]?.name ?? '';
  return new Map(
    submissions.map(({ name }, owner) => {
      const others = [...(similar[owner] ?? [])].sort((a, b) => a - b);
      return [name, others.map(nameOf)];
    }),
  );
}

interface Owned {
  readonly owner: number;
  readonly skeleton: Skeleton;
}

function byTree(submissions: readonly Boned[]): Iterable<readonly Owned[]> {
  const owned = submissions.flatMap(({ skeletons }, owner) =>
    skeletons.map((skeleton) => ({ owner, skeleton })),
  );
  return groupBy(owned, ({ skeleton }) => skeleton.tree).values();
}
