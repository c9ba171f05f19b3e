import { groupBy } from '../rig/group-by.js';
import { sameSkeleton } from './skeleton.js';
import type { Row } from './submission.js';

/**
 * For each submission the others that have a rig with the same joints and weights to rounding, in the
 * order given. Only skeletons of one joint tree are compared, so that a class of hundreds takes no time.
 */
export function nearCopies(
  submissions: readonly Pick<Row, 'name' | 'skeletons'>[],
): ReadonlyMap<string, readonly string[]> {
  const similar = submissions.map(() => new Set<number>());
  const owned = submissions.flatMap(({ skeletons }, owner) =>
    skeletons.map((skeleton) => ({ owner, skeleton })),
  );
  for (const group of groupBy(owned, ({ skeleton }) => skeleton.tree).values()) {
    for (const [at, { owner, skeleton }] of group.entries()) {
      for (const other of group.slice(at + 1)) {
        if (other.owner === owner || similar[owner]?.has(other.owner)) continue;
        if (!sameSkeleton(skeleton, other.skeleton)) continue;
        similar[owner]?.add(other.owner);
        similar[other.owner]?.add(owner);
      }
    }
  }
  return new Map(
    submissions.map(({ name }, owner) => {
      const others = submissions.filter((_, other) => similar[owner]?.has(other));
      return [name, others.map((other) => other.name)];
    }),
  );
}
