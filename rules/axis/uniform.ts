import {
  atJoint,
  type Finding,
  findingsOf,
  type Judged,
  judged,
  notApplicable,
} from '../../src/kit/finding.js';
import { gatherTwins, type WithTwin } from '../../src/kit/gather-twins.js';
import { alone, rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import {
  type Aim,
  aims,
  SQUARE_DEGREES,
  squareBranchings,
} from '../../src/measure/skeleton/aim.js';
import { type Conventions, conventions } from '../../src/measure/skeleton/conventions.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

interface JointDetails extends WithTwin<Aim> {
  readonly kind: 'joint';
  readonly convention: Conventions;
}

type Details =
  | JointDetails
  | { readonly kind: 'rig'; readonly convention: Conventions }
  | { readonly kind: 'missed'; readonly convention: Conventions };

/** Joints picked together are turned together: they must all mean the same by "bend". */
export const axisUniform = rule({
  id: 'axis.uniform',
  level: 'error',
  milder: 'warning',
  title: 'a joint that uses another axis than its rig',
  why: 'Animators pick a chain and turn all of it about one axis. A joint that was built on another axis twists where the others bend, and the curl leaves its plane.',
  formula:
    'A joint whose bone runs within 5° of a signed axis that is not the aim axis of its rig (or of the standard). A mirrored side may use the other sign. A pair of limbs may, too, if all of its joints do. The finding is an error inside a limb, spine, finger or tail, and a warning at other joints and at a pelvis or chest. A pelvis or chest is compared with the one child in the middle that continues it. Left and right give one finding. The rig has one finding as a whole when fewer than half of its joints follow any one axis.',
  remedy:
    'Turn the frame of the joint by quarter turns to the axes of its rig, and do not move its children or the mesh.',
  source: 'common practice',
  limits: {},
  yieldsTo: MIRRORED_OR_SKEWED,
  check(facts) {
    const convention = conventions(facts);
    if (convention.missed !== null) return judgeMissed(facts, convention);
    const { voters, votes } = convention;
    if (convention.kind === 'mixed')
      return judged('joints', voters, [mixedRig(convention)], voters - votes);
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const looked = [...aims(facts), ...squareBranchings(facts)];
    if (looked.length === 0) return notApplicable('no joint has an aim joint');
    const findings = findingsOf(looked, (aim) => judgeJoint(facts, aim, convention));
    return judged('joints', looked.length, findings);
  },
  gather(facts, findings) {
    const others = findings.filter((finding) => !isAtJoint(finding));
    return [...others.map(alone), ...gatherTwins(facts, findings.filter(isAtJoint))];
  },
  say(finding, words) {
    const { details } = finding;
    const named =
      details.convention.source === 'standard' ? 'the standard asks for' : 'its rig uses';
    if (details.kind === 'missed') {
      const { votes, voters, aim, missed } = details.convention;
      const own =
        details.convention.kind === 'world-aligned'
          ? 'has world-aligned frames'
          : `points ${aim === null ? '' : words.axis(aim.middle)} along its bones (${votes} of ${words.count(voters, 'joint')})`;
      return {
        message: `The rig ${own}, but the standard asks for ${missed === null ? '' : words.axis(missed)} (on over half of the joints).`,
        remedy: 'Turn all frames to the axes of the standard. Leave joints and mesh in place.',
      };
    }
    if (details.kind === 'rig') {
      const { votes, voters, aim } = details.convention;
      return {
        message: `The rig has no common aim axis: the most used one, ${aim === null ? '' : words.axis(aim.middle)}, points along the bone at only ${votes} of ${words.count(voters, 'joint')} (limit: at least half).`,
        remedy: 'Choose one aim axis and turn all frames to it. Leave joints and mesh in place.',
      };
    }
    const { worst: aim, twin } = details;
    const own = aim.squareOn === null ? '' : words.axis(aim.squareOn);
    const also = twin === null ? '' : `; its twin ${words.joint(twin.joint)} does the same`;
    const both =
      twin === null ? '' : `, and turn that of ${words.joint(twin.joint)} in the same way`;
    return {
      message: `${words.joint(aim.joint)} points ${own} along its bone to ${words.joint(aim.target)}, but ${named} ${words.axis(aim.axis)} (${words.degrees(aim.miss)} apart, limit ${words.degrees(SQUARE_DEGREES)})${also}.`,
      remedy: `Turn its frame by quarter turns so that ${words.axis(aim.axis)} points at ${words.joint(aim.target)}${both}, leaving children and mesh in place.`,
    };
  },
});

function isAtJoint(finding: Finding<Details>): finding is Finding<JointDetails> {
  return finding.details.kind === 'joint';
}

function judgeJoint(facts: Facts, aim: Aim, convention: Conventions): Finding<Details> | null {
  if (aim.squareOn === null) return null;
  const from = bonePose(facts).places[aim.joint] ?? [0, 0, 0];
  return {
    ...atJoint(aim.joint),
    level: aim.inside && aim.targetMoves ? 'error' : 'warning',
    measured: aim.miss,
    limit: SQUARE_DEGREES,
    unit: 'degrees',
    evidence: [
      { kind: 'arrow', label: 'aim axis', from, along: aim.pointing },
      { kind: 'arrow', label: 'bone', from, along: aim.bone },
    ],
    details: { kind: 'joint', worst: aim, twin: null, convention },
  };
}

/** A rig laid to another axis than the standard's: one finding, and its joints are held to its own. */
function judgeMissed(facts: Facts, convention: Conventions): Judged<Details> {
  const { kind, voters } = convention;
  const whole = { ...mixedRig(convention), details: { kind: 'missed' as const, convention } };
  const joints = kind === 'aimed' ? aims(facts) : [];
  const findings = findingsOf(joints, (aim) => judgeJoint(facts, aim, convention));
  return judged<Details>('joints', voters, [whole, ...findings], voters);
}

function mixedRig(convention: Conventions): Finding<Details> {
  return {
    level: 'error',
    place: { kind: 'rig' },
    measured: (100 * convention.votes) / convention.voters,
    limit: 50,
    unit: '%',
    counts: { looked: convention.voters, short: convention.voters - convention.votes },
    details: { kind: 'rig', convention },
  };
}
