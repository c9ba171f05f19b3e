import { hashBytes } from '../../asset/hash-file.js';
import { distinctPlaces, pathOf } from '../../report/places.js';
import type { AssetReport } from '../../report/report-types.js';
import { groupBy } from '../../rig/group-by.js';
import { compareTexts } from '../../rig/sibling-order.js';
import { countedLevel } from '../faulty-places.js';
import type { Rubric } from '../rubric.js';
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
  { grading }: Pick<Rubric, 'grading'>,
): MarkRecord {
  const paths = assets.flatMap(({ rigs }) =>
    rigs.flatMap((rig) => rig.joints.map(({ path }) => path)),
  );
  const joints = paths.length === 0 ? null : digestOf(paths);
  return { content, joints, faults: isGraded ? faultsOf(assets, grading) : null };
}

/** One digest of several texts, whatever their order. */
export function digestOf(texts: readonly string[]): string {
  return hashBytes(Buffer.from(JSON.stringify([...texts].sort(compareTexts))));
}

/** Each rule with all places where it found something, notes apart, in the order of the findings. */
function faultsOf(assets: readonly AssetReport[], grading: Rubric['grading']): RuleFaults[] {
  const rigs = assets.flatMap((asset) => asset.rigs.map(({ index }) => ({ asset, index })));
  const spots = assets.flatMap((asset) =>
    asset.findings.flatMap((finding) =>
      distinctPlaces([finding.place, ...finding.places]).map((place) => ({
        rule: finding.rule,
        note: countedLevel(finding, grading) === 'note',
        at: placeName(place),
        rig: rigs.findIndex((rig) => rig.asset === asset && rig.index === finding.rig),
      })),
    ),
  );
  const groups = groupBy(spots, ({ rule, note }) => JSON.stringify([rule, note]));
  return [...groups.values()].flatMap((own) => {
    const [first] = own;
    if (first === undefined) return [];
    const { rule, note } = first;
    const isInRigs = rigs.length > 1 && own.every(({ rig }) => rig !== -1);
    const at = own.map((spot) => spot.at);
    return { rule, at, note, ...(isInRigs ? { rigs: own.map(({ rig }) => rig) } : {}) };
  });
}

/** A file may have another name next time, so what is of the whole file has none. */
function placeName(place: Parameters<typeof pathOf>[0]): string {
  return place.kind === 'asset' ? '' : pathOf(place);
}
