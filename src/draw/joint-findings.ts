import { LEVELS } from '../kit/finding.js';
import { findingNumbers } from '../report/finding-numbers.js';
import { placeJoints } from '../report/places.js';
import type { AssetReport } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';

/** A finding with its number, which text, sheet and page share. */
export type Numbered = ReturnType<typeof numbered>[number];

/** All findings of one joint. */
export type JointFindings = ReturnType<typeof byJoint>[number];

/** The findings of a rig, or, for null, of the file as a whole, what is mended first at the head. */
export function numbered(asset: AssetReport, rig: number | null) {
  const numbers = findingNumbers(asset.findings);
  return asset.findings
    .map((finding, index) => ({ number: numbers[index] ?? 0, finding }))
    .filter(({ finding }) => finding.rig === rig)
    .sort((a, b) => a.number - b.number);
}

/**
 * Findings at the joints of a rig, as `byJoint` has them, where all of one rule share a number.
 *
 * @param numbers By the ids of rules; what has none is left out.
 */
export function byJointAndRule(
  { findings }: AssetReport,
  rig: number,
  numbers: ReadonlyMap<string, number>,
): JointFindings[] {
  const entries = findings.flatMap((finding) => {
    const number = finding.rig === rig ? numbers.get(finding.rule) : undefined;
    return number === undefined ? [] : [{ number, finding }];
  });
  entries.sort((a, b) => a.number - b.number);
  return byJoint(entries).map((entry) => ({ ...entry, numbers: [...new Set(entry.numbers)] }));
}

/** Findings that no joint shows: of the rig as a whole, a mesh or a skin. */
export function ofNoJoint(findings: readonly Numbered[]): Numbered[] {
  return findings.filter(({ finding }) => placeJoints(finding).length === 0);
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
