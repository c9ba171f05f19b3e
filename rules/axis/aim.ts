import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { aims } from '../../src/measure/aim.js';
import { bindPose } from '../../src/measure/bind-pose.js';
import { isBranching } from '../../src/measure/body-root.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** Joints that point at the next joint turn about their bone, so a twist is a twist. */
export const axisAim = rule({
  id: 'axis.aim',
  level: 'error',
  milder: 'warning',
  title: 'a joint whose aim axis misses its aim joint',
  why: 'When the aim axis runs along the bone, turning about it twists and turning about the others bends. When it misses, every turn is a bit of both.',
  formula:
    "Angle in the bind pose between the joint's aim axis (its side's, where a side mirrors) and the bone to its aim joint: the only child joint, or with several the one nearest to the aim axis, if within 30°. At most a warning when the aim joint moves no skin, or when the joint branches.",
  remedy:
    'Turn the frame of the joint, without moving its children or the mesh, until its aim axis runs along the bone.',
  source: 'common practice',
  limits: {
    warn: { default: 5, unit: 'degrees', tells: 'bone against aim axis: a warning from here' },
    error: { default: 15, unit: 'degrees', tells: 'bone against aim axis: an error from here' },
  },
  yieldsTo: MIRRORED_OR_SKEWED,
  check(facts, limits) {
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const judgedAims = aims(facts);
    const { places } = bindPose(facts);
    const findings = judgedAims.flatMap((aim) => {
      // A joint squarely on another axis is told by axis.uniform.
      if (aim.miss <= limits.warn || aim.squareOn !== null) return [];
      const serious = aim.miss > limits.error && aim.targetMoves && !isBranching(facts, aim.joint);
      const from = places[aim.joint] ?? [0, 0, 0];
      return [
        {
          level: serious ? ('error' as const) : ('warning' as const),
          place: { kind: 'joint' as const, joint: aim.joint },
          measured: aim.miss,
          limit: serious ? limits.error : limits.warn,
          unit: 'degrees' as const,
          joints: [aim.joint],
          evidence: [
            { kind: 'arrow' as const, label: 'aim axis', from, along: aim.pointing },
            { kind: 'arrow' as const, label: 'bone', from, along: aim.bone },
          ],
          details: aim,
        },
      ];
    });
    return judged('joints', judgedAims.length, findings);
  },
  say(finding, words) {
    const { joint, target, axis } = finding.details;
    return {
      message: `The aim axis ${words.axis(axis)} of ${words.joint(joint)} misses its aim joint ${words.joint(target)} by ${words.degrees(finding.measured)} (limit ${words.degrees(finding.limit ?? 0)}).`,
      remedy: `Turn its frame by ${words.degrees(finding.measured)} so that ${words.axis(axis)} points at ${words.joint(target)}, leaving children and mesh in place.`,
    };
  },
});
