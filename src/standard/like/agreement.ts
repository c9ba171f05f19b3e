import { visible } from '../../report/visible.js';
import { groupBy } from '../../rig/group-by.js';
import type { RigSeen } from './rig-seen.js';

/** What rigs have in common, or which of them have what. */
export interface Agreement {
  /** What all rigs have that show it at all; null where none shows it, or they differ. */
  readonly value: string | null;
  /** What there is, the most frequent first, with the rigs that have it. */
  readonly groups: readonly { readonly value: string; readonly rigs: readonly string[] }[];
}

/** @param show What one rig has; null where it does not show. */
export function agreementOf(
  seen: readonly RigSeen[],
  show: (rig: RigSeen) => string | null,
): Agreement {
  const shown = seen.flatMap((one) => {
    const value = show(one);
    return value === null ? [] : [{ value, rig: one.rig }];
  });
  const groups = [...groupBy(shown, ({ value }) => value)]
    .map(([value, list]) => ({ value, rigs: list.map(({ rig }) => rig) }))
    .sort((a, b) => b.rigs.length - a.rigs.length);
  return { value: groups.length === 1 ? (groups[0]?.value ?? null) : null, groups };
}

/** `+X in a.glb, b.glb; +Y in c.glb`. */
export function groupWords({ groups }: Agreement): string {
  return groups.map(({ value, rigs }) => `${value} in ${rigList(rigs)}`).join('; ');
}

/** Rigs that a line lists. */
const LISTED = 4;

/** The first of several rigs, fit for a comment: no name of a file can end it. */
export function rigList(rigs: readonly string[]): string {
  const shown = rigs.slice(0, LISTED).map(visible).join(', ');
  return rigs.length > LISTED ? `${shown} and ${rigs.length - LISTED} more` : shown;
}
