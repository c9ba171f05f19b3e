import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { shears } from '../../src/measure/local-scale.js';
import { axisWorldRest } from '../../src/measure/rest-frames.js';

/** Skew cannot be stored as translation, rotation and scale: other programs show another shape. */
export const scaleShear = rule({
  id: 'scale.shear',
  level: 'error',
  title: 'skew from unequal scale above a turn',
  why: 'A skewed frame has no translation, rotation and scale that give it. Every program that splits it up again shows another shape.',
  formula:
    'Largest cosine between two axes of a joint in world space, as stored. One finding for each node that causes skew, at the joint it skews most.',
  remedy: 'Take the unequal scale off the node above, or apply it before anything below is turned.',
  source: 'glTF 2.0, 3.5.3 Transformations (a local matrix MUST be decomposable to TRS)',
  limits: { skew: { default: 0.1, unit: '%', tells: 'cosine between two axes of a frame' } },
  check(facts, limits) {
    const findings = shears(facts).flatMap((shear) => {
      const percent = 100 * shear.skew;
      if (percent <= limits.skew) return [];
      return [
        {
          level: 'error' as const,
          place: { kind: 'joint' as const, joint: shear.joint },
          measured: percent,
          limit: limits.skew,
          unit: '%' as const,
          joints: shear.joints,
          counts: { looked: facts.rig.joints.count, short: shear.joints.length },
          evidence: axisWorldRest(facts.rig, shear.joint),
          details: shear,
        },
      ];
    });
    const short = findings.reduce((sum, finding) => sum + finding.details.joints.length, 0);
    return judged('joints', facts.rig.joints.count, findings, short);
  },
  say(finding, words) {
    const { cause, joint, joints } = finding.details;
    const more = joints.length > 1 ? ` (and ${words.count(joints.length - 1, 'joint')} more)` : '';
    const angle = (Math.asin(Math.min(1, finding.measured / 100)) * 180) / Math.PI;
    return {
      message: `${words.joint(joint)}${more} is skewed: its axes stand ${words.degrees(angle)} off square, ${words.percent(finding.measured)} (limit ${finding.limit} %), from the scale of ${words.node(cause)}.`,
      remedy: `Make the scale of ${words.node(cause)} equal on all axes, or apply it to what hangs below.`,
    };
  },
});
