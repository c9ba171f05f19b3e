import { LEVELS, type Level } from '../kit/finding.js';
import type { AssetReport, FindingReport, PlaceReport } from '../report/report-types.js';
import { FITTING } from './fitting.js';

/** What a mend did to the findings of an asset. */
export interface FindingsCompared {
  /** Findings at places where the same rule found nothing before. */
  readonly fresh: readonly FindingReport[];
  /** Findings that were there, with the places where the same rule found nothing before. */
  readonly grown: readonly { finding: FindingReport; places: readonly PlaceReport[] }[];
  /** Findings that were there at a milder level. */
  readonly risen: readonly { readonly finding: FindingReport; readonly from: Level }[];
  /** Findings that were there, reported again. */
  readonly kept: readonly FindingReport[];
}

/**
 * Compares by rule and by the joint, mesh or skin in the file, never by path or rig name: a mend renames,
 * and a finding about several joints can afterwards be reported at another of them. A mend keeps the indices
 * of nodes, meshes and skins.
 */
export function compareFindings(before: AssetReport, after: AssetReport): FindingsCompared {
  const levels = new Map<string, Level>();
  for (const { finding, keys } of keyed(before))
    for (const key of keys) levels.set(key, severer(levels.get(key), finding.level));
  const stepped = steppedBack(before);
  const compared = keyed(after).map(({ finding, keys }) => {
    const own = keys
      .flatMap((key) => levels.get(key) ?? [])
      .reduce<Level | undefined>(severer, undefined);
    const from = own ?? stepped(after, finding);
    if (own === undefined) return { finding, from, places: [] };
    const places = finding.places.filter((_, at) => !levels.has(keys[at + 1] ?? ''));
    return { finding, from, places };
  });
  const old = compared.flatMap(({ from, ...rest }) =>
    from === undefined ? [] : { from, ...rest },
  );
  return {
    fresh: compared.filter(({ from }) => from === undefined).map(({ finding }) => finding),
    grown: old.filter(({ places }) => places.length > 0),
    risen: old.filter(({ finding, from }) => rank(finding.level) < rank(from)),
    kept: old.map(({ finding }) => finding),
  };
}

/**
 * The level at which a rule that compares with an approved rig spoke through another finding of it: where that
 * is gone, what clips still show of the rig is told by itself, and is not new. Undefined where it had nothing
 * to say, and for all other rules: these speak of single joints, and may do so anew elsewhere.
 */
export function steppedBack(
  before: AssetReport,
): (after: AssetReport, finding: FindingReport) => Level | undefined {
  const levels = new Map<string, Level>();
  for (const { rig, level, insteadOf = [] } of before.findings)
    for (const rule of insteadOf.filter((id) => id.startsWith(FITTING))) {
      const key = `${rule} ${rigKey(before, rig)}`;
      levels.set(key, severer(levels.get(key), level));
    }
  return (after, { rule, rig }) => levels.get(`${rule} ${rigKey(after, rig)}`);
}

/** A rig is known by the first node of the file that is a joint of it. */
function rigKey({ rigs }: AssetReport, rig: number | null): string {
  const joints = rigs[rig ?? -1]?.joints ?? [];
  return `rig ${joints.reduce((least, { node }) => Math.min(least, node), Infinity)}`;
}

/** A finding with the keys of its place and of all its places, in that order. */
export interface KeyedFinding {
  readonly finding: FindingReport;
  readonly keys: readonly string[];
}

/** All findings by keys that are the same before and after a mend. */
export function keyed(asset: AssetReport): KeyedFinding[] {
  return asset.findings.map((finding) => {
    const rig = rigKey(asset, finding.rig);
    // A joint that a mend makes a plain node, or the other way round, is the same thing.
    const keys = [finding.place, ...finding.places].map(({ kind, pointer }) => {
      const place = kind === 'rig' || kind === 'asset' ? rig : pointer;
      return `${finding.rule} ${place}`;
    });
    return { finding, keys };
  });
}

export function rank(level: Level): number {
  return LEVELS.indexOf(level);
}

function severer(a: Level | undefined, b: Level): Level {
  return a === undefined || rank(b) < rank(a) ? b : a;
}
