import { LEVELS } from '../kit/finding.js';
import { placeJoints } from '../report/places.js';
import type { AssetReport } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';

/** A finding with its number in the report, from 1 on. */
export type Numbered = ReturnType<typeof numbered>[number];

/** All findings of one joint. */
export type JointFindings = ReturnType<typeof byJoint>[number];

/** The findings of a rig, or, for null, of the file as a whole. */
export function numbered(asset: AssetReport, rig: number | null) {
  return asset.findings
    .map((finding, index) => ({ number: index + 1, finding }))
    .filter(({ finding }) => finding.rig === rig);
}

/**
 * Findings at joints, one entry a joint: the places of findings before joints that are only listed,
 * since not all may find room; then the most serious joints first.
 */
export function byJoint(findings: readonly Numbered[]) {
  const atJoints = findings.flatMap((entry) =>
    placeJoints(entry.finding).map((joint) => ({ joint, ...entry })),
  );
  return [...groupBy(atJoints, ({ joint }) => joint)]
    .map(([joint, entries]) => ({
      joint,
      numbers: entries.map(({ number }) => number),
      /** The most serious of them. */
      level:
        LEVELS.find((level) => entries.some((entry) => entry.finding.level === level)) ?? 'note',
      /** Whether the joint is the place of any of them, rather than one more that it lists. */
      isPlace: entries.some(({ finding }) => finding.place.joint === joint),
    }))
    .sort(
      (a, b) =>
        Number(b.isPlace) - Number(a.isPlace) ||
        LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level) ||
        a.joint - b.joint,
    );
}
