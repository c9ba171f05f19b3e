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

/**
 * Submissions that are similar each to each, so that one with a rig of two groups is in both and
 * joins neither to the other. Every pair is in one group at least.
 */
export function groupsOf(
  rows: readonly Pick<Row, 'name'>[],
  similar: ReadonlyMap<string, readonly string[]>,
): string[][] {
  const names = rows.map(({ name }) => name);
  const mates = new Map(names.map((name) => [name, new Set(similar.get(name))]));
  const grouped = new Map(names.map((name) => [name, new Set<string>()]));
  return names.flatMap((name) =>
    names.flatMap((other) => {
      if (!mates.get(name)?.has(other) || grouped.get(name)?.has(other)) return [];
      const group = new Set([name, other]);
      for (const third of names)
        if ([...group].every((member) => mates.get(member)?.has(third))) group.add(third);
      for (const member of group) for (const mate of group) grouped.get(member)?.add(mate);
      return [names.filter((member) => group.has(member))];
    }),
  );
}

/** Submissions that have something in common. */
export interface CopyGroup {
  readonly names: readonly string[];
  /** Whether their files are the same byte for byte, and not their joints and weights alone. */
  readonly sameFile: boolean;
}

/** Those with the same files first, then those that are similar and have not all the same files. */
export function copyGroups(
  rows: readonly Pick<Row, 'name' | 'from' | 'record'>[],
  similar: ReadonlyMap<string, readonly string[]>,
): CopyGroup[] {
  const contentOf = new Map(rows.map(({ name, record }) => [name, record.content]));
  const fromOf = new Map(rows.map(({ name, from }) => [name, from]));
  const isTold = (names: readonly string[]): boolean => {
    const [content, ...others] = new Set(names.map((name) => contentOf.get(name) ?? null));
    // Animals of one submission have its files in common, and that is no news.
    return (
      content !== null &&
      others.length === 0 &&
      new Set(names.map((name) => fromOf.get(name))).size > 1
    );
  };
  const byContent = groupBy(rows, ({ record }) => record.content);
  byContent.delete(null);
  const same = [...byContent.values()].map((all) => [...new Set(all.map(({ from }) => from))]);
  const near = groupsOf(rows, similar).filter((names) => !isTold(names));
  return [
    ...same.filter(({ length }) => length > 1).map((names) => ({ names, sameFile: true })),
    ...near.map((names) => ({ names, sameFile: false })),
  ];
}
