import { atJoint, type Evidence, type Finding, findingsOf, judged } from '../../src/kit/finding.js';
import { gatherAlike } from '../../src/kit/gather-alike.js';
import type { WithOthers } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { alignment } from '../../src/measure/fit/alignment.js';
import { type Difference, differences } from '../../src/measure/fit/differences.js';
import { isMirrorImage } from '../../src/measure/fit/mirror-image.js';
import { turnDegrees } from '../../src/rig/decompose.js';
import { conjugate, multiplyQuaternions, rotate } from '../../src/rig/quaternion.js';
import type { Vec3 } from '../../src/rig/vec3.js';
import { against, arrow, limit } from '../parts.js';
import { ALIKE, frameWords, type Turned } from './frame-words.js';
import { whyNotCompared } from './with-approved.js';

/** Keys are turns of a frame: in a frame that is turned, they turn the bone about another axis. */
export const fitFrame = rule({
  id: 'fit.frame',
  level: 'error',
  milder: 'warning',
  title: 'a frame that is turned against the approved rig',
  why: 'A clip made for the approved rig bends each joint in the frame that the joint has there. Where the frame is turned, the bone points elsewhere all through the clip, and the skin is bent by that much more.',
  formula:
    "The angle of b_A^-1 b_C in the bind pose, where b is the joint's frame against its parent in the approved rig (A) and in this one (C). A key q bends the skin by b_A^-1 q and b_C^-1 q, so this is what differs in every clip. Where the parent's frame is turned and its children are left in place, they differ from it too: only the parent is told. A rig that is turned as a whole fits. Joints whose frames are turned alike, and left and right, have one finding.",
  remedy:
    'Turn the frame to where it is in the approved rig. Leave the children and the mesh in place if they are in place already.',
  source: 'glTF 2.0, 3.7.3.1 Skins (inverse bind matrices); the angle: common practice',
  limits: {
    warn: limit(1, 'degrees', 'frame against the approved frame: a warning from here'),
    error: limit(5, 'degrees', 'frame against the approved frame: an error from here'),
  },
  onApproved: true,
  check(facts, limits) {
    const not = whyNotCompared(facts);
    if (not !== null) return not;
    const { list, along } = differences(facts);
    const findings = findingsOf(list, (difference): Finding<WithOthers<Turned>> | null => {
      const { joint, degrees } = difference;
      if (!(degrees > limits.warn)) return null;
      const serious = degrees > limits.error;
      return {
        ...atJoint(joint),
        level: serious ? 'error' : 'warning',
        ...against(degrees, serious ? limits.error : limits.warn, 'degrees'),
        evidence: evidenceOf(facts, difference),
        details: {
          worst: { ...difference, along: along.has(joint), mirror: isMirrorImage(facts) },
          others: [],
        },
      };
    });
    return judged('joints', list.length, findings);
  },
  gather: (facts, findings) => gatherAlike(facts, findings, areAlike),
  say: ({ details: { worst, others }, measured, limit }, words) =>
    frameWords(worst, others, { measured, limit: limit ?? 0 }, words),
});

function areAlike(a: Turned, b: Turned): boolean {
  return turnDegrees(multiplyQuaternions(conjugate(a.turn), b.turn)) < ALIKE;
}

/** An axis that the turn moves most, as it is and as the approved rig has it. */
function evidenceOf(facts: Facts, { joint, turn }: Difference): Evidence[] {
  const laid = alignment(facts);
  const [place, now] = [laid?.rig.places[joint], laid?.rig.turns[joint]];
  if (!place || !now) return [];
  const parts = [turn[0], turn[1], turn[2]].map(Math.abs);
  const least = parts.indexOf(Math.min(...parts));
  const axis: Vec3 = [Number(least === 0), Number(least === 1), Number(least === 2)];
  const name = 'XYZ'[least];
  const wanted = multiplyQuaternions(now, conjugate(turn));
  return [
    arrow(`+${name}`, place, rotate(now, axis)),
    arrow(`+${name} in the approved rig`, place, rotate(wanted, axis)),
  ];
}
