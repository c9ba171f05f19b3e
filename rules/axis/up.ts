import { atJoint, type Finding, findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherRig, gatherTwins } from '../../src/kit/gather-twins.js';
import { type Gathered, rule } from '../../src/kit/rule.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { conventions } from '../../src/measure/skeleton/conventions.js';
import { axisWorld } from '../../src/measure/skeleton/frames.js';
import { jointRolls, mostOfRoll, nearestWithin } from '../../src/measure/skeleton/joint-rolls.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';
import {
  areRandom,
  atRandom,
  isAtJoint,
  type JointDetails,
  type RollDetails,
  sayRoll,
} from './rolled.js';

/** One up axis along a segment, so that equal turns curl it in one plane. */
export const axisUp = rule({
  id: 'axis.up',
  level: 'error',
  milder: 'note',
  title: 'a joint rolled away from its segment',
  why: 'Joints that share an up axis bend in one plane when they are turned together. A rolled joint bends sideways. A flipped joint bends backwards.',
  formula:
    'The up axis of the first joint is carried along the segment by the smallest rotation from each aim direction to the next (parallel transport). The roll of a joint is the signed angle about its aim direction between the carried up axis and its own, minus the weighted circular median of the segment. Joints of the shoulders and hips, joints that branch and joints without skin count half. These, feet and the last joint with skin give a warning at most. A collarbone or a hand whose pair mirrors gives a note. Left and right give one finding. All joints of a rig where limbs begin or end give one finding. A rig with four in ten of its joints rolled gives one finding. End joints belong to axis.end.',
  remedy:
    'Turn the frame of the joint about its aim axis until its up axis agrees with its segment.',
  source:
    'Bishop 1975, "There is more than one way to frame a curve" (carried frames); one up axis: common practice',
  limits: {
    warn: {
      default: 5,
      unit: 'degrees',
      tells: 'roll of a joint against its segment: a warning from here',
    },
    error: {
      default: 30,
      unit: 'degrees',
      tells: 'roll of a joint against its segment: an error from here',
    },
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
    const findings = findingsOf(rolls, ([joint, roll]): Finding<RollDetails> | null => {
      const turned = Math.abs(roll.roll);
      if (turned <= limits.warn || up === null) return null;
      const most = mostOfRoll(facts, joint, roll);
      const serious = turned > limits.error && most === 'error';
      const { segment, place } = roll;
      const from = bonePose(facts).places[joint] ?? [0, 0, 0];
      const neighbour = nearestWithin(roll, limits.warn);
      const carried = segment.carriedUps[place] ?? from;
      return {
        ...atJoint(joint),
        level: most === 'error' && !serious ? 'warning' : most,
        measured: turned,
        limit: serious ? limits.error : limits.warn,
        unit: 'degrees',
        evidence: [
          { kind: 'arrow', label: 'up axis', from, along: axisWorld(facts, joint, up) },
          { kind: 'arrow', label: 'up axis of the segment', from, along: carried },
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
    });
    return judged('joints', rolls.size, findings);
  },
  gather(facts, findings) {
    const looked = jointRolls(facts).size;
    const atJoints = findings.filter(isAtJoint);
    if (areRandom(atJoints, looked))
      return [{ finding: atRandom(atJoints, looked), from: atJoints }];
    const within = atJoints.filter(({ details }) => !details.begins);
    const begin = atJoints.filter(({ level, details }) => details.begins && level === 'warning');
    const noted = atJoints.filter(({ level, details }) => details.begins && level === 'note');
    return [
      ...limbEnds(begin, 'limb ends'),
      ...limbEnds(noted, 'limb ends, noted'),
      ...gatherTwins(facts, within),
    ];
  },
  say: sayRoll,
});

/** Rolls where limbs begin or end, as one finding a rig. */
function limbEnds(
  findings: readonly Finding<JointDetails>[],
  aspect: string,
): Gathered<JointDetails>[] {
  return gatherRig(findings).map(({ finding, from }) => ({
    finding: { ...finding, aspect },
    from,
  }));
}
