import { atJoint, type Finding, findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherRig, gatherTwins } from '../../src/kit/gather-twins.js';
import { type Gathered, rule } from '../../src/kit/rule.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { aimAxisOf } from '../../src/measure/skeleton/chains.js';
import { conventions } from '../../src/measure/skeleton/conventions.js';
import { axisWorld } from '../../src/measure/skeleton/frames.js';
import { jointRolls, mostOfRoll, nearestWithin } from '../../src/measure/skeleton/joint-rolls.js';
import { against, arrow, limit } from '../parts.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';
import { atRandom, isAtJoint, type JointDetails, type RollDetails, rollWords } from './rolled.js';

/** A frame that was turned about any axis can be rolled by so many times what its aim misses by. */
const BY_MISS = 2;

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
    warn: limit(5, 'degrees', 'roll of a joint against its segment: a warning from here'),
    error: limit(30, 'degrees', 'roll of a joint against its segment: an error from here'),
  },
  yieldsTo: [
    { to: ['axis.uniform', 'chain.direction'], on: 'joints' },
    {
      to: ['axis.aim'],
      on: 'joints',
      explains: (aim, roll) => roll.level !== 'error' || roll.measured <= BY_MISS * aim.measured,
    },
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
      const from = bonePose(facts).places[joint] ?? [0, 0, 0];
      const neighbour = nearestWithin(roll, limits.warn);
      const carried = roll.segment.carriedUps[roll.place] ?? from;
      return {
        ...atJoint(joint),
        level: most === 'error' && !serious ? 'warning' : most,
        ...against(turned, serious ? limits.error : limits.warn, 'degrees'),
        evidence: [
          arrow('up axis', from, axisWorld(facts, joint, up)),
          arrow('up axis of the segment', from, carried),
        ],
        details: {
          kind: 'joint',
          worst: { joint, roll: roll.roll, aim: aimAxisOf(facts, joint), up, neighbour },
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
    const random = atRandom(atJoints, looked);
    if (random !== null) return [{ finding: random, from: atJoints }];
    const within = atJoints.filter(({ details }) => !details.begins);
    const ends = atJoints.filter(({ details }) => details.begins);
    return [
      ...limbEnds(ends, 'warning', 'limb ends'),
      ...limbEnds(ends, 'note', 'limb ends, noted'),
      ...gatherTwins(facts, within),
    ];
  },
  say: rollWords,
});

/** Rolls of a level where limbs begin or end, as one finding a rig. */
function limbEnds(
  findings: readonly Finding<JointDetails>[],
  level: 'warning' | 'note',
  aspect: string,
): Gathered<JointDetails>[] {
  const gathered = gatherRig(findings.filter((finding) => finding.level === level));
  return gathered.map(({ finding, from }) => ({ finding: { ...finding, aspect }, from }));
}
