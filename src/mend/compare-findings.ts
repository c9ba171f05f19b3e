import { LEVELS, type Level } from '../kit/finding.js';
import type { AssetReport, FindingReport, PlaceReport, RigReport } from '../report/report-types.js';

/** What became of the findings of an asset by a mend. */
export interface FindingsCompared {
  /** Findings at places where the same rule told nothing before. */
  readonly fresh: readonly FindingReport[];
  /** Findings that were there, with the places where the same rule told nothing before. */
  readonly grown: readonly {
    readonly finding: FindingReport;
    readonly places: readonly PlaceReport[];
  }[];
  /** Findings that were there at a milder level. */
  readonly risen: readonly { readonly finding: FindingReport; readonly from: Level }[];
  /** Findings that were there, told again. */
  readonly kept: readonly FindingReport[];
}

/**
 * Compares by rule and by the joint, mesh or skin in the file, never by path or rig name: a mend renames,
 * and what is told of several joints can be told at another of them afterwards. A mend keeps the indices
 * of nodes, meshes and skins.
 */
export function compareFindings(before: AssetReport, after: AssetReport): FindingsCompared {
  const known = new Map<string, Level>();
  for (const { finding, keys } of keyed(before))
    for (const key of keys) known.set(key, severer(known.get(key), finding.level));
  const compared = keyed(after).map(({ finding, keys }) => {
    const levels = keys.flatMap((key) => known.get(key) ?? []);
    const from = levels.reduce<Level | undefined>(severer, undefined);
    const places = finding.places.filter((_, at) => !known.has(keys[at + 1] ?? ''));
    return { finding, from, places };
  });
  const old = compared.flatMap(({ finding, from, places }) =>
    from === undefined ? [] : [{ finding, from, places }],
  );
  return {
    fresh: compared.flatMap(({ finding, from }) => (from === undefined ? [finding] : [])),
    grown: old.filter(({ places }) => places.length > 0),
    risen: old.filter(({ finding, from }) => rank(finding.level) < rank(from)),
    kept: old.map(({ finding }) => finding),
  };
}

/** Each finding with the keys of its place and of all its places, in that order. */
function keyed(asset: AssetReport): { finding: FindingReport; keys: readonly string[] }[] {
  return asset.findings.map((finding) => {
    const rig = rigKey(asset.rigs[finding.rig ?? -1]);
    const keys = [finding.place, ...finding.places].map(
      (place) => `${finding.rule} ${placeKey(place, rig)}`,
    );
    return { finding, keys };
  });
}

/** A joint that a mend makes a plain node of, or the other way round, is the same thing. */
function placeKey({ kind, pointer }: PlaceReport, rig: string): string {
  return kind === 'rig' || kind === 'asset' ? rig : pointer;
}

/** A rig by the first node of the file that is a joint of it. */
function rigKey(rig: RigReport | undefined): string {
  const first = (rig?.joints ?? []).reduce((least, { node }) => Math.min(least, node), Infinity);
  return `rig ${first}`;
}

function rank(level: Level): number {
  return LEVELS.indexOf(level);
}

function severer(a: Level | undefined, b: Level): Level {
  return a === undefined || rank(b) < rank(a) ? b : a;
}
