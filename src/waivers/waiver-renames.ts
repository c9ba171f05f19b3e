import type { PlaceReport } from '../report/report-types.js';
import type { WaiverText } from './ledger.js';
import { placeKey, STAR_ITSELF } from './place-key.js';

/** New names in a rig. */
export interface RigRenames {
  readonly rig: { readonly old: string; readonly now: string };
  /** Things by their paths as a report has them. */
  readonly places: readonly {
    readonly kind: PlaceReport['kind'];
    readonly old: string;
    readonly now: string;
  }[];
}

/** A function that gives a waiver the new names; null where it has none of the old ones. */
export function waiverRenamer(
  renames: readonly RigRenames[],
): <W extends WaiverText>(waiver: W) => W | null {
  const keyed = renames.map(({ rig, places }) => {
    const keys = new Map<string, string>();
    for (const { kind, old, now } of places)
      keys.set(placeKey({ kind, path: old }), placeKey({ kind, path: now }));
    return { rig, keys };
  });
  return (waiver) => {
    const { joint, accepted } = waiver;
    const fitting =
      waiver.rig === undefined ? keyed : keyed.filter(({ rig }) => rig.old === waiver.rig);
    const newKey = (key: string): string =>
      fitting.map(({ keys }) => keys.get(key)).find((found) => found !== undefined) ?? key;
    const rig = waiver.rig === undefined ? undefined : fitting[0]?.rig.now;
    const isPath = joint !== null && joint !== '*' && joint !== STAR_ITSELF;
    const newJoint = isPath ? newKey(joint) : joint;
    const places = [...(accepted?.places ?? [])];
    const isChanged =
      (rig !== undefined && rig !== waiver.rig) ||
      newJoint !== joint ||
      places.some(([key]) => newKey(key) !== key);
    if (!isChanged) return null;
    const newPlaces = new Map(places.map(([key, measured]) => [newKey(key), measured]));
    return {
      ...waiver,
      ...(rig !== undefined && { rig }),
      joint: newJoint,
      ...(accepted?.places != null && { accepted: { ...accepted, places: newPlaces } }),
    };
  };
}

/** Renames from the old and new paths of joints, which a mend writes beside its result. */
export function renamesOfPaths(paths: ReadonlyMap<string, string>): RigRenames[] {
  const places = [...paths].map(([old, now]) => ({ kind: 'joint' as const, old, now }));
  // A rig has the name of its topmost joint, which in a path of one step is written with its escapes.
  const tops = [...paths].filter(([old]) => !/(?<!\\)\//.test(old));
  const rigs = tops.map(([old, now]) => ({ old: unescaped(old), now: unescaped(now) }));
  if (rigs.length === 0) return [{ rig: { old: '', now: '' }, places }];
  return rigs.map((rig) => ({ rig, places: [...places, { kind: 'rig' as const, ...rig }] }));
}

function unescaped(step: string): string {
  return step.replace(/\\(.)/gsu, '$1');
}
