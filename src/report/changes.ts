import { distinctPlaces } from './places.js';
import type { AssetReport, FindingReport, PlaceReport } from './report-types.js';

/** What became of the findings of an asset from one check to the next. */
export interface Changes {
  /** Findings that are there no more, as they were. */
  readonly mended: readonly FindingReport[];
  readonly fresh: readonly FindingReport[];
  /** Findings that were there before, at other places in part. */
  readonly moved: readonly MovedFinding[];
  /** How many are as they were. */
  readonly same: number;
}

export interface MovedFinding {
  readonly finding: FindingReport;
  /** Places that it had and has no more. */
  readonly gone: readonly PlaceReport[];
  /** Places that it has and had not. */
  readonly come: readonly PlaceReport[];
}

/** Compares the findings of two checks, waived ones left out. `before` is null at first sight. */
export function changesBetween(before: AssetReport | null, after: AssetReport): Changes {
  const old = new Map(unwaived(before).map((finding) => [finding.identity, finding]));
  const now = unwaived(after);
  const identities = new Set(now.map(({ identity }) => identity));
  const moved = now.flatMap((finding): MovedFinding[] => {
    const was = old.get(finding.identity);
    if (was === undefined) return [];
    const [had, has] = [placesOf(was), placesOf(finding)];
    const gone = without(had, has);
    const come = without(has, had);
    return gone.length + come.length === 0 ? [] : [{ finding, gone, come }];
  });
  const fresh = now.filter(({ identity }) => !old.has(identity));
  return {
    mended: [...old.values()].filter(({ identity }) => !identities.has(identity)),
    fresh,
    moved,
    same: now.length - fresh.length - moved.length,
  };
}

/** `1 mended, 0 new, 2 as before`; what was mended is left out at first sight. */
export function changeCounts({ mended, fresh, moved, same }: Changes, isFirst: boolean): string {
  return [
    ...(isFirst ? [] : [`${mended.length} mended`]),
    `${fresh.length} new`,
    ...(moved.length === 0 ? [] : [`${moved.length} changed`]),
    `${same} as before`,
  ].join(', ');
}

function unwaived(asset: AssetReport | null): FindingReport[] {
  return asset?.findings.filter(({ waived }) => waived === undefined) ?? [];
}

function placesOf({ place, places }: FindingReport): PlaceReport[] {
  return distinctPlaces([place, ...places]);
}

/** Places of `list` that `others` has not. A place is known by its kind and path, never by an index. */
function without(list: readonly PlaceReport[], others: readonly PlaceReport[]): PlaceReport[] {
  const keyOf = ({ kind, path }: PlaceReport): string => `${kind} ${path}`;
  const known = new Set(others.map(keyOf));
  return list.filter((place) => !known.has(keyOf(place)));
}
