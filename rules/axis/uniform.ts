import { atJoint, type Finding, findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherTwins, type WithTwin } from '../../src/kit/gather-twins.js';
import { alone, rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import {
  type Aim,
  aims,
  SQUARE_DEGREES,
  squareBranchings,
} from '../../src/measure/skeleton/aim.js';
import { type Conventions, conventions } from '../../src/measure/skeleton/conventions.js';
import { against } from '../parts.js';
import { aimEvidence, MIRRORED_OR_SKEWED, notAimed, turnTwin, turnWords } from './aimed-only.js';

interface JointDetails extends WithTwin<Aim> {
  readonly kind: 'joint';
  readonly convention: Conventions;
}

type Details = JointDetails | { readonly kind: 'rig' | 'missed'; readonly convention: Conventions };

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
    const { kind, missed, voters, votes } = convention;
    const judge = (looked: readonly Aim[]) =>
      findingsOf(looked, (aim) => judgeJoint(facts, aim, convention));
    if (missed !== null) {
      // The rig misses the standard as a whole; its joints are compared with its own axis.
      const joints = kind === 'aimed' ? judge(aims(facts)) : [];
      return judged('joints', voters, [wholeRig('missed', convention), ...joints], voters);
    }
    if (kind === 'mixed')
      return judged('joints', voters, [wholeRig('rig', convention)], voters - votes);
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const looked = [...aims(facts), ...squareBranchings(facts)];
    if (looked.length === 0) return notApplicable('no joint has an aim joint');
    return judged('joints', looked.length, judge(looked));
  },
  gather(facts, findings) {
    const others = findings.filter((finding) => !isAtJoint(finding));
    return [...others.map(alone), ...gatherTwins(facts, findings.filter(isAtJoint))];
  },
  say({ details }, words) {
    const { source, kind, votes, voters, aim: most, missed } = details.convention;
    if (details.kind === 'joint') {
      const { worst: aim, twin } = details;
      const used = aim.squareOn === null ? '' : words.axis(aim.squareOn);
      const [wanted, target] = [words.axis(aim.axis), words.joint(aim.target)];
      const who = source === 'standard' ? 'the standard asks for' : 'its rig uses';
      const also = twin === null ? '' : `; its twin ${words.joint(twin.joint)} does the same`;
      return {
        message: `${words.joint(aim.joint)} points ${used} along its bone to ${target}, but ${who} ${wanted} (${words.degrees(aim.miss)} apart, limit ${words.degrees(SQUARE_DEGREES)})${also}.`,
        remedy: `Turn its frame ${turnWords(aim, words)} so that ${wanted} points at ${target}${turnTwin(twin, words)}, leaving children and mesh in place.`,
      };
    }
    const axis = most === null ? '' : words.axis(most.middle);
    if (details.kind === 'rig')
      return {
        message: `The rig has no common aim axis: the most used one, ${axis}, points along the bone at only ${votes} of ${words.count(voters, 'joint')} (limit: at least half).`,
        remedy: 'Choose one aim axis and turn all frames to it. Leave joints and mesh in place.',
      };
    const uses =
      kind === 'world-aligned'
        ? 'has world-aligned frames'
        : `points ${axis} along its bones (${votes} of ${words.count(voters, 'joint')})`;
    return {
      message: `The rig ${uses}, but the standard asks for ${missed === null ? '' : words.axis(missed)} (on over half of the joints).`,
      remedy: 'Turn all frames to the axes of the standard. Leave joints and mesh in place.',
    };
  },
});

function isAtJoint(finding: Finding<Details>): finding is Finding<JointDetails> {
  return finding.details.kind === 'joint';
}

function judgeJoint(facts: Facts, aim: Aim, convention: Conventions): Finding<Details> | null {
  if (aim.squareOn === null) return null;
  return {
    ...atJoint(aim.joint),
    level: aim.inside && aim.targetMoves ? 'error' : 'warning',
    ...against(aim.miss, SQUARE_DEGREES, 'degrees'),
    evidence: aimEvidence(facts, aim),
    details: { kind: 'joint', worst: aim, twin: null, convention },
  };
}

function wholeRig(kind: 'rig' | 'missed', convention: Conventions): Finding<Details> {
  const { votes, voters } = convention;
  return {
    level: 'error',
    place: { kind: 'rig' },
    ...against((100 * votes) / voters, 50, '%'),
    counts: { looked: voters, short: voters - votes },
    details: { kind, convention },
  };
}
