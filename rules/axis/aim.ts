import { atJoint, type Finding, findingsOf, judged } from '../../src/kit/finding.js';
import { gatherTwins, type WithTwin } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import { type Aim, aims } from '../../src/measure/skeleton/aim.js';
import { against, limit } from '../parts.js';
import { aimEvidence, MIRRORED_OR_SKEWED, notAimed, turnTwin, turnWords } from './aimed-only.js';

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
    warn: limit(5, 'degrees', 'angle between bone and aim axis: a warning from here'),
    error: limit(15, 'degrees', 'angle between bone and aim axis: an error from here'),
  },
  yieldsTo: MIRRORED_OR_SKEWED,
  check(facts, limits) {
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const looked = aims(facts);
    const findings = findingsOf(looked, (aim): Finding<WithTwin<Aim>> | null => {
      // A joint squarely on another axis belongs to axis.uniform.
      if (aim.miss <= limits.warn || aim.squareOn !== null) return null;
      const serious = aim.miss > limits.error && aim.targetMoves && aim.inside;
      return {
        ...atJoint(aim.joint),
        level: serious ? 'error' : 'warning',
        ...against(aim.miss, serious ? limits.error : limits.warn, 'degrees'),
        evidence: aimEvidence(facts, aim),
        details: { worst: aim, twin: null },
      };
    });
    return judged('joints', looked.length, findings);
  },
  gather: gatherTwins,
  say({ details: { worst, twin }, measured, limit }, words) {
    const [joint, target] = [words.joint(worst.joint), words.joint(worst.target)];
    const [axis, angle] = [words.axis(worst.axis), words.degrees(measured)];
    const also = twin
      ? `; that of its twin ${words.joint(twin.joint)} misses by ${words.degrees(twin.miss)}`
      : '';
    return {
      message: `The aim axis ${axis} of ${joint} misses its aim joint ${target} by ${angle} (limit ${words.degrees(limit ?? 0)})${also}.`,
      remedy: `Turn its frame ${turnWords(worst, words)} so that ${axis} points at ${target}${turnTwin(twin, words)}, leaving children and mesh in place.`,
    };
  },
});
