import {
  type Evidence,
  type Finding,
  findingsOf,
  judged,
  notApplicable,
} from '../../src/kit/finding.js';
import { gatherRig, type WithOthers } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { type EndJoint, endJoints } from '../../src/measure/skeleton/end-joints.js';
import { frames } from '../../src/measure/skeleton/frames.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** The end joint belongs to the chain: it keeps the chain's axes. */
export const axisEnd = rule({
  id: 'axis.end',
  level: 'warning',
  title: 'an end joint left turned',
  why: 'An end joint has nothing to aim at, so it is often left as it was made. Picked with its chain, or copied to lengthen it, it turns about other axes than the rest.',
  formula:
    "Roll of an end joint once its parent's up axis is carried along to where the joint aims, where that is within 135° of the parent's aim: from 10° for one that moves skin (a head, a hand, a toe), from 20° for an idle tip. Its pitch is its own affair, unless a weighted one sits squarely (within 1°) on other axes than its parent and not at its own skin. Eyes and what hangs beside a chain are left out. One finding a rig, at the worst.",
  remedy: 'Give the end joint the frame of its parent, leaving its place and the mesh alone.',
  source: 'common practice; carried frames: Bishop 1975',
  limits: {
    turn: { default: 20, unit: 'degrees', tells: 'roll of an idle tip to its parent' },
    roll: { default: 10, unit: 'degrees', tells: 'roll of a weighted end joint to its parent' },
  },
  yieldsTo: [{ to: ['axis.aim', 'axis.uniform', 'axis.up'], on: 'joints' }, ...MIRRORED_OR_SKEWED],
  check(facts, limits) {
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const ends = endJoints(facts);
    if (ends.length === 0) return notApplicable('no end joint hangs on a joint that moves skin');
    const findings = findingsOf(ends, (end): Finding<WithOthers<EndJoint>> | null => {
      const limit = end.weighted ? limits.roll : limits.turn;
      if (end.turn <= limit) return null;
      return {
        level: 'warning',
        place: { kind: 'joint', joint: end.joint },
        measured: end.turn,
        limit,
        unit: 'degrees',
        // A parent that is itself off its chain makes the tip look turned: one fault.
        joints: [end.joint, end.parent],
        evidence: evidenceOf(facts, end),
        details: { worst: end, others: [] },
      };
    });
    return judged('joints', ends.length, findings);
  },
  gather: (_, findings) => gatherRig(findings),
  say(finding, words) {
    const { worst, others } = finding.details;
    const [joint, parent] = [words.joint(worst.joint), words.joint(worst.parent)];
    const angle = words.degrees(finding.measured);
    const how = {
      rolled: `is rolled ${angle} about its aim axis out of the frame of ${parent}`,
      square: `sits squarely on other axes than ${parent}, ${angle} off its frame`,
    }[worst.left];
    const also =
      others.length === 0
        ? ''
        : `; so ${others.length === 1 ? 'is' : 'are'} ${words.joints(others.map((item) => item.joint))}`;
    return {
      message: `The end joint ${joint} ${how} (limit ${words.degrees(finding.limit ?? 0)})${also}.`,
      remedy: worst.weighted
        ? `Turn its frame until its up axis goes on from ${parent}'s, or give it that frame whole, leaving its place and the mesh alone.`
        : `Give it the frame of ${parent}.`,
    };
  },
});

/** The axes of the joint, and those of its parent, at its place. */
function evidenceOf(facts: Facts, end: EndJoint): Evidence[] {
  const from = bonePose(facts).places[end.joint] ?? [0, 0, 0];
  return [
    { of: end.joint, label: 'axis' },
    { of: end.parent, label: 'axis of the parent' },
  ].flatMap(({ of, label }) =>
    (frames(facts)[of] ?? []).map((along, i): Evidence => {
      return { kind: 'arrow', label: `${'XYZ'[i]} ${label}`, from, along };
    }),
  );
}
