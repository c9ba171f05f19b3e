import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import type { FindingReport, MeasuredReport } from '../../src/report/report-types.js';

/** What one rule said of an asset, and on what it was measured, one entry a rig. */
export interface Said {
  readonly findings: readonly FindingReport[];
  readonly measured: readonly MeasuredReport[];
}

/** Runs all rules on an asset and keeps what one said. Throws when the asset cannot be read. */
export async function findingsOf(
  bytes: Uint8Array,
  rule: string,
  change: Partial<Settings> = {},
): Promise<Said> {
  const report = await checkAssetBytes(bytes, {
    settings: { ...defaultSettings(rules), ...change },
  });
  if (report.unreadable !== null) throw new Error(report.unreadable.reason);
  return {
    findings: report.findings.filter((finding) => finding.rule === rule),
    measured: report.rigs.flatMap((rig) => rig.measured.filter((entry) => entry.rule === rule)),
  };
}

/** Settings that change one limit of a rule. */
export function withLimit(rule: string, limits: Record<string, number>): Partial<Settings> {
  return { limits: new Map([[rule, limits]]) };
}

/** Paths of the joints that findings are at. */
export function pathsOf({ findings }: Said): (string | null)[] {
  return findings.map(({ place }) => place.path);
}
