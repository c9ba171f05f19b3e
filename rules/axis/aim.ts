import { atJoint, type Finding, findingsOf, judged } from '../../src/kit/finding.js';
import { gatherTwins, type WithTwin } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { type Aim, aims } from '../../src/measure/skeleton/aim.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** Joints that point at the next joint turn about their bone, so a twist is a twist. */
export const axisAim = rule({
  id: 'axis.aim',
  level: 'error',
  milder: 'warning',
  title: 'a joint whose aim axis misses its aim joint',
  why: 'When the aim axis runs along the bone, turning about it twists and turning about the others bends. When it misses, every turn is a bit of both.',
  formula:
    "Angle in the bind pose between the joint's aim axis (its side's and limb's) and the bone to its aim joint: the only child joint, or with several the one nearest to the aim axis, if within 30°; for a fan of children anywhere within their spread. A child is hung on, and no aim joint, when it lies 30° or more off the joint's own flesh and the frame points along the flesh within 10°. An error inside a limb, spine, finger or tail; a warning at most at collarbones, hands, feet and other joints that branch, and where the aim joint moves no skin. Left and right are one finding.",
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
    const findings = findingsOf(judgedAims, (aim): Finding<WithTwin<Aim>> | null => {
      // A joint squarely on another axis is told by axis.uniform.
      if (aim.miss <= limits.warn || aim.squareOn !== null) return null;
      const serious = aim.miss > limits.error && aim.targetMoves && aim.inside;
      const from = bonePose(facts).places[aim.joint] ?? [0, 0, 0];
      return {
        ...atJoint(aim.joint),
        level: serious ? 'error' : 'warning',
        measured: aim.miss,
        limit: serious ? limits.error : limits.warn,
        unit: 'degrees',
        evidence: [
          { kind: 'arrow', label: 'aim axis', from, along: aim.pointing },
          { kind: 'arrow', label: 'bone', from, along: aim.bone },
        ],
        details: { worst: aim, twin: null },
      };
    });
    return judged('joints', judgedAims.length, findings);
  },
  gather: gatherTwins,
  say(finding, words) {
    const { worst, twin } = finding.details;
    const { joint, target, axis } = worst;
    const also =
      twin === null
        ? ''
        : `; so does that of its twin ${words.joint(twin.joint)}, by ${words.degrees(twin.miss)}`;
    const both = twin === null ? '' : `, and that of ${words.joint(twin.joint)} likewise`;
    return {
      message: `The aim axis ${words.axis(axis)} of ${words.joint(joint)} misses its aim joint ${words.joint(target)} by ${words.degrees(finding.measured)} (limit ${words.degrees(finding.limit ?? 0)})${also}.`,
      remedy: `Turn its frame by ${words.degrees(finding.measured)} so that ${words.axis(axis)} points at ${words.joint(target)}${both}, leaving children and mesh in place.`,
    };
  },
});
