import { hashBytes } from '../../asset/hash-file.js';
import { distinctPlaces, pathOf } from '../../report/places.js';
import type { AssetReport } from '../../report/report-types.js';
import { compareTexts } from '../../rig/sibling-order.js';
import type { RuleFaults, Traces } from './older-marks.js';

/** What is kept of a submission for the next hand-in, besides its points. */
export interface MarkRecord extends Traces {
  /** Null where it was not graded. */
  readonly faults: readonly RuleFaults[] | null;
}

/**
 * @param isGraded Whether it has points: what was found in a part of it alone is no ground to compare.
 * @param content Digest of its files; null where one of them could not be read.
 */
export function recordOf(
  assets: readonly AssetReport[],
  isGraded: boolean,
  content: string | null,
): MarkRecord {
  const paths = assets.flatMap(({ rigs }) =>
    rigs.flatMap((rig) => rig.joints.map(({ path }) => path)),
  );
  const joints = paths.length === 0 ? null : digestOf(paths);
  return { content, joints, faults: isGraded ? faultsOf(assets) : null };
}

/** One digest of several texts, whatever their order. */
export function digestOf(texts: readonly string[]): string {
  return hashBytes(Buffer.from(JSON.stringify([...texts].sort(compareTexts))));
}

/** Each rule with all places where it found fault, in the order of the findings. */
function faultsOf(assets: readonly AssetReport[]): RuleFaults[] {
  const faults = new Map<string, string[]>();
  for (const { findings } of assets)
    for (const finding of findings) {
      const at = faults.get(finding.rule) ?? [];
      at.push(...distinctPlaces([finding.place, ...finding.places]).map(placeName));
      faults.set(finding.rule, at);
    }
  return [...faults].map(([rule, at]) => ({ rule, at }));
}

/** A file may have another name next time, so what is of the whole file has none. */
function placeName(place: Parameters<typeof pathOf>[0]): string {
  return place.kind === 'asset' ? '' : pathOf(place);
}
