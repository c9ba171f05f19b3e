import { atJoints, findingsOf, judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { shears } from '../../src/measure/pose/local-scale.js';
import { column, mat4At, origin } from '../../src/rig/mat4.js';
import { degrees, direction } from '../../src/rig/vec3.js';
import { against, arrow, limit } from '../parts.js';

/** Skew cannot be stored as translation, rotation and scale: other programs show another shape. */
export const scaleShear = rule({
  id: 'scale.shear',
  level: 'error',
  milder: 'warning',
  title: 'skew from unequal scale above a turn',
  why: 'No translation, rotation and scale together can make a skewed frame. Each program that splits it into these shows a different shape.',
  formula:
    'The largest cosine between two axes of a joint in world space, as stored. The finding is a warning from the first limit and an error from the second. Each node that causes skew has one finding, at the joint that it skews most.',
  remedy:
    'Set the scale of the node above to be equal on all axes, or apply it before you turn anything below.',
  source: 'glTF 2.0, 3.5.3 Transformations (a local matrix MUST be decomposable to TRS)',
  limits: {
    skew: limit(0.1, '%', 'cosine between two axes of a frame: a warning from here'),
    error: limit(5, '%', 'cosine between two axes of a frame: an error from here'),
  },
  check(facts, limits, limitOf) {
    const causes = { uneven: limitOf('scale.nonuniform', 'uneven'), skew: limits.skew };
    const looked = facts.rig.joints.count;
    const findings = findingsOf(shears(facts, causes), (shear) => {
      const { joint, joints } = shear;
      const percent = 100 * shear.skew;
      if (percent <= limits.skew) return null;
      const isSerious = percent > limits.error;
      const matrix = mat4At(facts.rig.nodes.world, facts.rig.joints.node[joint] ?? 0);
      return {
        ...atJoints(joints, joint),
        level: isSerious ? 'error' : 'warning',
        ...against(percent, isSerious ? limits.error : limits.skew, '%'),
        anchor: { kind: 'joint', joint },
        counts: { looked, short: joints.length },
        evidence: [0, 1, 2].map((axis) => {
          const along = direction(column(matrix, axis)) ?? [0, 0, 0];
          return arrow(`${'XYZ'[axis]} axis`, origin(matrix), along);
        }),
        details: shear,
      };
    });
    return judged('joints', looked, findings);
  },
  say({ details: { cause, joint, joints }, measured, limit }, words) {
    const more = joints.length > 1 ? ` (and ${words.count(joints.length - 1, 'joint')} more)` : '';
    const angle = degrees(Math.asin(Math.min(1, measured / 100)));
    return {
      message: `${words.joint(joint)}${more} is skewed: its axes are ${words.degrees(angle)} away from a right angle, ${words.percent(measured)} (limit ${limit} %). The cause is the scale of ${words.node(cause)}.`,
      remedy: `Make the scale of ${words.node(cause)} equal on all axes, or apply it to what hangs below.`,
    };
  },
});
