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
  why: 'When the aim axis runs along the bone, a turn about it only twists and a turn about another axis only bends. When the aim axis misses the bone, every turn does a bit of both.',
  formula:
    "The angle in the bind pose between the joint's aim axis (that of its side and limb) and the bone to its aim joint. The aim joint is the only child joint. A joint with several children aims at the child nearest to its aim axis, if that child is within 30°. A joint with a fan of children may aim anywhere within their spread. A child is only attached, and is not an aim joint, when it lies 30° or more away from the joint's own flesh and the frame points along the flesh within 10°. The finding is an error inside a limb, spine, finger or tail. It is a warning at most at collarbones, hands, feet and other joints that branch, and where the aim joint moves no skin. Left and right give one finding.",
  remedy:
    'Turn the frame of the joint, and do not move its children or the mesh, until its aim axis runs along the bone.',
  source: 'common practice',
  limits: {
    warn: {
      default: 5,
      unit: 'degrees',
      tells: 'angle between bone and aim axis: a warning from here',
    },
    error: {
      default: 15,
      unit: 'degrees',
      tells: 'angle between bone and aim axis: an error from here',
    },
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
        : `; that of its twin ${words.joint(twin.joint)} misses by ${words.degrees(twin.miss)}`;
    const both =
      twin === null ? '' : `, and turn that of ${words.joint(twin.joint)} in the same way`;
    return {
      message: `The aim axis ${words.axis(axis)} of ${words.joint(joint)} misses its aim joint ${words.joint(target)} by ${words.degrees(finding.measured)} (limit ${words.degrees(finding.limit ?? 0)})${also}.`,
      remedy: `Turn its frame by ${words.degrees(finding.measured)} so that ${words.axis(axis)} points at ${words.joint(target)}${both}, leaving children and mesh in place.`,
    };
  },
});
