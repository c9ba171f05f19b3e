import type { PlaceReport } from '../report/report-types.js';
import { STAR_ITSELF } from './is-about.js';
import type { WaiverText } from './ledger.js';
import { placeKey } from './place-key.js';

/** What of a rig has another name. */
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
): (waiver: WaiverText) => WaiverText | null {
  const keyed = renames.map(keyedRenames);
  return (waiver) => renamedWaiver(waiver, keyed);
}

interface Keyed {
  readonly rig: RigRenames['rig'];
  /** As a ledger calls them (see `place-key.ts`). */
  readonly places: ReadonlyMap<string, string>;
}

function keyedRenames({ rig, places }: RigRenames): Keyed {
  const keys = places.map(
    ({ kind, old, now }) => [placeKey({ kind, path: old }), placeKey({ kind, path: now })] as const,
  );
  return { rig, places: new Map(keys) };
}

function renamedWaiver(waiver: WaiverText, all: readonly Keyed[]): WaiverText | null {
  const { rig, joint, accepted } = waiver;
  const own = rig === undefined ? all : all.filter((item) => item.rig.old === rig);
  const now = (key: string): string => own.flatMap(({ places }) => places.get(key) ?? [])[0] ?? key;
  const [named = null] = rig === undefined ? [] : own;
  const exact = joint === null || joint === '*' || joint === STAR_ITSELF ? null : joint;
  const places = accepted?.places ?? null;
  const changes =
    (named !== null && named.rig.old !== named.rig.now) ||
    (exact !== null && now(exact) !== exact) ||
    [...(places?.keys() ?? [])].some((key) => now(key) !== key);
  if (!changes) return null;
  return {
    ...waiver,
    ...(named !== null && { rig: named.rig.now }),
    joint: exact === null ? joint : now(exact),
    ...(accepted !== undefined &&
      places !== null && {
        accepted: {
          ...accepted,
          places: new Map([...places].map(([key, measured]) => [now(key), measured])),
        },
      }),
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
