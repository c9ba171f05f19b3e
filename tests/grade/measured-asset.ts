import type { Level } from '../../src/kit/finding.js';
import type { AssetReport, MeasuredReport, RigReport } from '../../src/report/report-types.js';
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

/** An asset whose rigs were measured so, one list a rig. */
export function measuredAsset(path: string, rigs: readonly (readonly Seen[])[]): AssetReport {
  const findings = rigs.flatMap((seen, rig) =>
    seen
      .filter(({ stands }) => stands)
      .map(({ rule, level = 'error' }) => sampleFinding({ rule, level, rig })),
  );
  return { ...glbAsset(path, findings), rigs: rigs.map(rigOf) };
}

function rigOf(seen: readonly Seen[], index: number): RigReport {
  return { ...sampleRig(), index, measured: seen.map(measuredOf) };
}

function measuredOf({ rule, looked, short, elsewhere = 0 }: Seen): MeasuredReport {
  if (looked === null) return { rule, kind: 'not applicable', because: 'there is none here' };
  return { rule, kind: 'judged', looked, short, elsewhere, of: 'joints' };
}
