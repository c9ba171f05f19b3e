import { findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherRig, type WithOthers } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { aimAndUp } from '../../src/measure/skeleton/chains.js';
import { type EndJoint, endJoints } from '../../src/measure/skeleton/end-joints.js';
import { against, arrow, limit, sameOf } from '../parts.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** The end joint belongs to the chain: it keeps the chain's axes. */
export const axisEnd = rule({
  id: 'axis.end',
  level: 'warning',
  title: 'an end joint left turned',
  why: 'An end joint has nothing to aim at, so it often keeps the frame it was made with. When an animator turns it together with its chain, or a rigger copies it to make the chain longer, it turns about other axes than the rest.',
  formula:
    "The roll of an end joint against its parent's up axis, which is first carried along to the direction in which the end joint aims. That direction must be within 135° of the parent's aim. The limit is 10° for a joint that moves skin (a head, a hand, a toe) and 20° for an idle tip. The pitch of an end joint is free, except where a joint with skin has its axes exactly (within 1°) on other axes of its parent and does not point at its own skin. Eyes and joints that hang beside a chain are left out. Each rig has one finding, at the worst joint.",
  remedy: 'Give the end joint the frame of its parent. Do not move the joint or the mesh.',
  source: 'common practice; carried frames: Bishop 1975',
  limits: {
    turn: limit(20, 'degrees', 'roll of an idle tip against its parent'),
    roll: limit(10, 'degrees', 'roll of an end joint with skin against its parent'),
  },
  yieldsTo: [{ to: ['axis.aim', 'axis.uniform', 'axis.up'], on: 'joints' }, ...MIRRORED_OR_SKEWED],
  check(facts, limits) {
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const ends = endJoints(facts);
    if (ends.length === 0) return notApplicable('no end joint hangs on a joint that moves skin');
    const findings = findingsOf(ends, (end) => {
      const limit = end.weighted ? limits.roll : limits.turn;
      if (end.turn <= limit) return null;
      const details: WithOthers<EndJoint> = { worst: end, others: [] };
      const from = bonePose(facts).places[end.joint] ?? [0, 0, 0];
      const [axes, above] = [aimAndUp(facts, end.joint), aimAndUp(facts, end.parent)];
      const [which, name] = ({ rolled: ['up', 'up axis'], square: ['aim', 'aim axis'] } as const)[
        end.left
      ];
      return {
        level: 'warning',
        place: { kind: 'joint', joint: end.joint },
        ...against(end.turn, limit, 'degrees'),
        // A parent that is itself off its chain makes the tip look turned: one fault.
        joints: [end.joint, end.parent],
        evidence:
          axes === null || above === null
            ? []
            : [arrow(name, from, axes[which]), arrow(`${name} of the parent`, from, above[which])],
        details,
      };
    });
    return judged('joints', ends.length, findings);
  },
  gather: (_, findings) => gatherRig(findings),
  say({ details: { worst, others }, measured, limit }, words) {
    const [joint, parent] = [words.joint(worst.joint), words.joint(worst.parent)];
    const angle = words.degrees(measured);
    const how = {
      rolled: `is rolled ${angle} about its aim axis against the frame of ${parent}`,
      square: `has its axes on other axes than those of ${parent}, ${angle} off its frame`,
    }[worst.left];
    return {
      message: `The end joint ${joint} ${how} (limit ${words.degrees(limit ?? 0)})${sameOf(others, words)}.`,
      remedy:
        worst.weighted && worst.left === 'rolled'
          ? `Turn its frame by ${words.degrees(-worst.roll)} about its aim axis (right-handed), so that its up axis follows that of ${parent}. Do not move the joint or the mesh.`
          : `Give it the frame of ${parent}. Do not move the joint or the mesh.`,
    };
  },
});
