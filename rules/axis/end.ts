import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { bindPose } from '../../src/measure/bind-pose.js';
import { endJoints } from '../../src/measure/end-joints.js';
import { frames } from '../../src/measure/frames.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** The end joint belongs to the chain: it keeps the chain's axes. */
export const axisEnd = rule({
  id: 'axis.end',
  level: 'warning',
  title: 'an end joint left turned',
  why: 'An end joint has nothing to aim at, so it is often left as it was made. Picked with its chain, or copied to lengthen it, it turns about other axes than the rest.',
  formula:
    "Angle between the frames of an end joint and its parent. An unweighted tip: over the limit. A weighted one: only when it sits squarely (within 1°) on other axes than its parent, or on the world's axes where its parent does not, and does not point at its own skin with its up axis carried along.",
  remedy: 'Give the end joint the frame of its parent, leaving its place and the mesh alone.',
  source: 'common practice',
  limits: {
    turn: { default: 5, unit: 'degrees', tells: 'end joint against the frame of its parent' },
  },
  yieldsTo: [{ to: ['axis.aim', 'axis.uniform', 'axis.up'], on: 'joints' }, ...MIRRORED_OR_SKEWED],
  check(facts, limits) {
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const ends = endJoints(facts);
    if (ends.length === 0) return notApplicable('no end joint hangs on a joint that moves skin');
    const findings = ends.flatMap((end) => {
      if (end.left === null || end.turn <= limits.turn) return [];
      const from = bindPose(facts).places[end.joint] ?? [0, 0, 0];
      const [own, above] = [frames(facts)[end.joint], frames(facts)[end.parent]];
      return [
        {
          level: 'warning' as const,
          place: { kind: 'joint' as const, joint: end.joint },
          measured: end.turn,
          limit: limits.turn,
          unit: 'degrees' as const,
          // A parent that is itself off its chain makes the tip look turned: one fault.
          joints: [end.joint, end.parent],
          evidence: [
            ...(own ?? []).map((along, i) => ({
              kind: 'arrow' as const,
              label: `${'XYZ'[i]} axis`,
              from,
              along,
            })),
            ...(above ?? []).map((along, i) => ({
              kind: 'arrow' as const,
              label: `${'XYZ'[i]} axis of the parent`,
              from,
              along,
            })),
          ],
          details: end,
        },
      ];
    });
    return judged('joints', ends.length, findings);
  },
  say(finding, words) {
    const { joint, parent, left, weighted } = finding.details;
    const how =
      left === 'on the world axes'
        ? `sits squarely on the world's axes, ${words.degrees(finding.measured)} off the frame of ${words.joint(parent)}`
        : `is turned ${words.degrees(finding.measured)} off the frame of ${words.joint(parent)}`;
    return {
      message: `The end joint ${words.joint(joint)} ${how} (limit ${words.degrees(finding.limit ?? 0)}).`,
      remedy: weighted
        ? `Turn its frame until its up axis goes on from ${words.joint(parent)}'s, or give it that frame whole, leaving its place and the mesh alone.`
        : `Give it the frame of ${words.joint(parent)}.`,
    };
  },
});
