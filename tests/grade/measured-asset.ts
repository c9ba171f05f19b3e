import type { Level } from '../../src/kit/finding.js';
import type {
  AssetReport,
  FindingReport,
  MeasuredReport,
  RigReport,
} from '../../src/report/report-types.js';
import { glbAsset, sampleFinding, sampleRig } from '../report/sample-report.js';

/** What one rule saw of a rig: looked at, short, and whether a finding of it stands. */
export interface Seen {
  readonly rule: string;
  /** Null where the rule did not apply. */
  readonly looked: number | null;
  readonly short: number;
  readonly stands: boolean;
  readonly level?: Level;
  /** Those that another rule tells. */
  readonly elsewhere?: number;
}

/** An asset whose rigs were measured so, one list a rig. What fell short is listed as so many joints. */
export function measuredAsset(path: string, rigs: readonly (readonly Seen[])[]): AssetReport {
  const findings = rigs.flatMap((seen, rig) =>
    seen
      .filter(({ stands }) => stands)
      .map(({ rule, level = 'error', short }) => {
        const finding = sampleFinding({ rule, level, rig });
        return { ...finding, places: jointsOf(finding, short, rig) };
      }),
  );
  return { ...glbAsset(path, findings), rigs: rigs.map(rigOf) };
}

/** So many joints of a rig, which are the same for every rule: the sample's own first. */
function jointsOf({ place }: FindingReport, count: number, rig: number): FindingReport['places'] {
  return Array.from({ length: Math.max(1, count) }, (_, at) => {
    if (at === 0 && rig === 0) return place;
    const node = 100 * (rig + 1) + at;
    const name = `feather_${node}`;
    return { ...place, name, path: `body/${name}`, joint: 2 + at, node, pointer: `/nodes/${node}` };
  });
}

function rigOf(seen: readonly Seen[], index: number): RigReport {
  return { ...sampleRig(), index, measured: seen.map(measuredOf) };
}

function measuredOf({ rule, looked, short, elsewhere = 0 }: Seen): MeasuredReport {
  if (looked === null) return { rule, kind: 'not applicable', because: 'there is none here' };
  return { rule, kind: 'judged', looked, short, elsewhere, of: 'joints' };
}
