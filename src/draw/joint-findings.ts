import { LEVELS, type Level } from '../kit/finding.js';
import { placeJoints } from '../report/places.js';
import type { AssetReport, FindingReport } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';

/** A finding with its number in the report, from 1 on. */
export interface Numbered {
  readonly number: number;
  readonly finding: FindingReport;
}

/** All findings of one joint. */
export interface JointFindings {
  readonly joint: number;
  readonly numbers: readonly number[];
  /** The most serious of them. */
  readonly level: Level;
  /** Whether any of them is told at the joint, and does not only list it. */
  readonly isPlace: boolean;
}

export function numbered(asset: AssetReport, rig: number | null): Numbered[] {
  return asset.findings
    .map((finding, index) => ({ number: index + 1, finding }))
    .filter(({ finding }) => finding.rig === rig);
}

/**
 * Findings at joints, one entry a joint: those that a finding is told at before those that are only
 * listed, since not all may find room; then the most serious joints first.
 */
export function byJoint(findings: readonly Numbered[]): JointFindings[] {
  const at = findings.flatMap((entry) =>
    placeJoints(entry.finding).map((joint) => ({ joint, ...entry })),
  );
  return [...groupBy(at, ({ joint }) => joint)]
    .map(([joint, entries]) => ({
      joint,
      numbers: entries.map(({ number }) => number),
      level:
        LEVELS.find((level) => entries.some(({ finding }) => finding.level === level)) ?? 'note',
      isPlace: entries.some(({ finding }) => finding.place.joint === joint),
    }))
    .sort(
      (a, b) =>
        Number(b.isPlace) - Number(a.isPlace) ||
        LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level) ||
        a.joint - b.joint,
    );
}
