import { LEVELS, type Level } from '../kit/finding.js';
import type { AssetReport, FindingReport } from '../report/report-types.js';

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
}

export function numbered(asset: AssetReport, rig: number | null): Numbered[] {
  return asset.findings
    .map((finding, index) => ({ number: index + 1, finding }))
    .filter(({ finding }) => finding.rig === rig);
}

/** Findings at joints, one entry a joint, the most serious joints first. */
export function byJoint(findings: readonly Numbered[]): JointFindings[] {
  const groups = new Map<number, Numbered[]>();
  for (const entry of findings) {
    const { joint } = entry.finding.place;
    if (joint !== null) groups.set(joint, [...(groups.get(joint) ?? []), entry]);
  }
  return [...groups]
    .map(([joint, entries]) => ({
      joint,
      numbers: entries.map(({ number }) => number),
      level:
        LEVELS.find((level) => entries.some(({ finding }) => finding.level === level)) ?? 'note',
    }))
    .sort((a, b) => LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level) || a.joint - b.joint);
}
