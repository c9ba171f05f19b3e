import { type Finding, jointPlaces, judged, LEVELS, notApplicable } from '../../src/kit/finding.js';
import {
  gatherRig,
  gatherTwins,
  type WithOthers,
  type WithTwin,
} from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import { bonePose } from '../../src/measure/bone-pose.js';
import { conventions } from '../../src/measure/conventions.js';
import type { Axis } from '../../src/measure/facts.js';
import { axisWorld } from '../../src/measure/frames.js';
import { jointRolls, mostOfRoll, nearestWithin } from '../../src/measure/joint-rolls.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** One up axis along a segment, so that equal turns curl it in one plane. */
export const axisUp = rule({
  id: 'axis.up',
  level: 'error',
  milder: 'warning',
  title: 'a joint rolled away from its segment',
  why: 'Joints that share an up axis bend in one plane when they are turned together. A rolled joint bends sideways, a flipped one backwards.',
  formula:
    "The first joint's up axis is carried along the segment by the smallest rotation from each aim direction to the next (parallel transport). Roll is the signed angle about the aim direction from the carried up axis, less the weighted circular median of the segment. Girdle and branching joints and joints without skin mass count half. They give a warning at most, as do feet and the last joint with skin; a collarbone or a hand whose pair mirrors, a note. Left and right are one finding, so are all joints of a rig where limbs begin or end, and so is a rig four in ten of whose joints are rolled. End joints are judged by axis.end.",
  remedy:
    'Turn the frame of the joint about its aim axis until its up axis agrees with its segment.',
  source:
    'Bishop 1975, "There is more than one way to frame a curve" (carried frames); one up axis: common practice',
  limits: {
    warn: { default: 5, unit: 'degrees', tells: 'roll against the segment: a warning from here' },
    error: { default: 30, unit: 'degrees', tells: 'roll against the segment: an error from here' },
  },
  yieldsTo: [
    { to: ['axis.aim', 'axis.uniform'], on: 'joints' },
    { to: ['chain.direction'], on: 'joints' },
    ...MIRRORED_OR_SKEWED,
  ],
  check(facts, limits) {
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const rolls = jointRolls(facts);
    if (rolls.size === 0) return notApplicable('no segment has two joints to compare');
    const { up } = conventions(facts);
    const findings = [...rolls.entries()].flatMap(([joint, roll]) => {
      const turned = Math.abs(roll.roll);
      if (turned <= limits.warn || up === null) return [];
      const most = mostOfRoll(facts, joint, roll);
      const serious = turned > limits.error && most === 'error';
      const { segment, place } = roll;
      const from = bonePose(facts).places[joint] ?? [0, 0, 0];
      const neighbour = nearestWithin(segment, place, limits.warn);
      const finding: Finding<Details> = {
        level: most === 'error' && !serious ? 'warning' : most,
        place: { kind: 'joint', joint },
        measured: turned,
        limit: serious ? limits.error : limits.warn,
        unit: 'degrees',
        joints: [joint],
        evidence: [
          { kind: 'arrow', label: 'up axis', from, along: axisWorld(facts, joint, up) },
          {
            kind: 'arrow',
            label: 'up axis of the segment',
            from,
            along: segment.carriedUps[place] ?? from,
          },
        ],
        details: {
          kind: 'joint',
          worst: { joint, roll: roll.roll, up, neighbour },
          twin: null,
          others: [],
          begins: most !== 'error',
          mild: !serious && turned > limits.error,
        },
      };
      return [finding];
    });
    return judged('joints', rolls.size, findings);
  },
  gather(facts, findings) {
    const looked = jointRolls(facts).size;
    const atJoints = findings.filter(isAtJoint);
    if (atJoints.length >= AT_RANDOM && atJoints.length >= AT_RANDOM_SHARE * looked)
      return [{ finding: atRandom(atJoints, looked), from: atJoints }];
    const within = atJoints.filter(({ details }) => !details.begins);
    const begin = atJoints.filter(({ level, details }) => details.begins && level === 'warning');
    const noted = atJoints.filter(({ level, details }) => details.begins && level === 'note');
    return [...gatherRig(begin), ...gatherRig(noted), ...gatherTwins(facts, within)];
  },
  say(finding, words) {
    const { details } = finding;
    if (details.kind === 'rig') {
      const { joint, joints, looked } = details;
      return {
        message: `The frames are rolled at random: ${joints.length} of ${words.count(looked, 'joint')} are off their segments by more than the limit of ${words.degrees(finding.limit ?? 0)}, most of all ${words.joint(joint)}, by ${words.degrees(finding.measured)}.`,
        remedy:
          'Choose one up axis for each limb and turn all its frames to it about their aim axes, leaving joints and mesh in place.',
      };
    }
    const { worst, twin, others, mild } = details;
    const { joint, up, neighbour } = worst;
    const capped = mild
      ? '; girdle and branching joints, feet and joints without skin count for less'
      : '';
    const like =
      neighbour === null
        ? ''
        : ` so that ${words.axis(up)} goes on from ${words.joint(neighbour)}'s`;
    const [roll, back] = signed(worst.roll);
    const also = [...others, ...(twin === null ? [] : [twin])]
      .slice(0, NAMED)
      .map((item) => `${words.joint(item.joint)} by ${words.degrees(signed(item.roll)[0])}`);
    const more = others.length > NAMED ? ` and ${others.length - NAMED} more` : '';
    const so =
      also.length === 0 ? '' : `; so ${also.length === 1 ? 'is' : 'are'} ${also.join(', ')}${more}`;
    const both = also.length === 0 ? '' : ', and the others back by their own roll';
    return {
      message: `${words.joint(joint)} is rolled ${words.degrees(roll)} about its aim axis against its segment (limit ${words.degrees(finding.limit ?? 0)}${capped})${so}.`,
      remedy: `Turn its frame by ${words.degrees(back)} about the aim axis (right-handed)${like}${both}, leaving children and mesh in place.`,
    };
  },
});

/** Joints that a message names beside the worst. */
const NAMED = 5;

interface Roll {
  readonly joint: number;
  readonly roll: number;
  readonly up: Axis;
  readonly neighbour: number | null;
}

interface JointDetails extends WithTwin<Roll>, WithOthers<Roll> {
  readonly kind: 'joint';
  /** Whether the joint is where a limb begins or ends (girdle, hand, foot), or moves no skin: told as one. */
  readonly begins: boolean;
  /** Whether the roll alone would be an error. */
  readonly mild: boolean;
}

type Details =
  | JointDetails
  | {
      readonly kind: 'rig';
      readonly joint: number;
      readonly joints: readonly number[];
      readonly looked: number;
    };

function isAtJoint(finding: Finding<Details>): finding is Finding<JointDetails> {
  return finding.details.kind === 'joint';
}

/** The roll, and the turn that takes it back. Half a turn is the same either way round. */
function signed(roll: number): [roll: number, back: number] {
  return Math.abs(roll) > 179.9 ? [180, 180] : [roll, -roll];
}

/** So many rolled joints, and so large a share of all that were looked at, have one cause. */
const AT_RANDOM = 6;
const AT_RANDOM_SHARE = 0.4;

function atRandom(findings: readonly Finding<JointDetails>[], looked: number): Finding<Details> {
  const joints = findings.map(({ details }) => details.worst.joint);
  const [worst] = [...findings].sort(
    (a, b) => LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level) || b.measured - a.measured,
  );
  const joint = worst?.details.worst.joint ?? 0;
  return {
    level: worst?.level ?? 'warning',
    place: { kind: 'joint', joint },
    places: jointPlaces(joints),
    measured: worst?.measured ?? 0,
    limit: Math.min(...findings.map(({ limit }) => limit ?? 0)),
    unit: 'degrees',
    joints,
    counts: { looked, short: joints.length },
    evidence: worst?.evidence ?? [],
    details: { kind: 'rig', joint, joints, looked },
  };
}
