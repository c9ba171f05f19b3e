import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { bindPose } from '../../src/measure/bind-pose.js';
import { isBranching } from '../../src/measure/body-root.js';
import { girdleJoints } from '../../src/measure/chains.js';
import { conventions } from '../../src/measure/conventions.js';
import { axisWorld } from '../../src/measure/frames.js';
import { type SegmentRoll, segmentRolls } from '../../src/measure/roll.js';
import { skinMass } from '../../src/measure/skin-mass.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** One up axis along a segment, so that equal turns curl it in one plane. */
export const axisUp = rule({
  id: 'axis.up',
  level: 'error',
  milder: 'warning',
  title: 'a joint rolled away from its segment',
  why: 'Joints that share an up axis bend in one plane when they are turned together. A rolled joint bends sideways, a flipped one backwards.',
  formula:
    "The first joint's up axis is carried along the segment by the smallest rotation from each aim direction to the next (parallel transport). Roll is the signed angle about the aim direction from the carried up axis, less the weighted circular median of the segment. Girdle and branching joints and joints without skin mass count half and give at most a warning; end joints are judged by axis.end.",
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
    const rolls = rollOfJoints(segmentRolls(facts));
    if (rolls.size === 0) return notApplicable('no segment has two joints to compare');
    const { up } = conventions(facts);
    const { ofJoint, hasMesh } = skinMass(facts);
    const findings = [...rolls.entries()].flatMap(([joint, { roll, segment, place }]) => {
      const turned = Math.abs(roll);
      if (turned <= limits.warn || up === null) return [];
      const mild =
        girdleJoints(facts)[joint] === 1 ||
        isBranching(facts, joint) ||
        (hasMesh && ofJoint[joint] === 0);
      const serious = turned > limits.error && !mild;
      const from = bindPose(facts).places[joint] ?? [0, 0, 0];
      const neighbour = nearestWithin(segment, place, limits.warn);
      return [
        {
          level: serious ? ('error' as const) : ('warning' as const),
          place: { kind: 'joint' as const, joint },
          measured: turned,
          limit: serious ? limits.error : limits.warn,
          unit: 'degrees' as const,
          joints: [joint],
          evidence: [
            { kind: 'arrow' as const, label: 'up axis', from, along: axisWorld(facts, joint, up) },
            {
              kind: 'arrow' as const,
              label: 'up axis of the segment',
              from,
              along: segment.carriedUps[place] ?? from,
            },
          ],
          details: { joint, roll, up, neighbour, mild: mild && turned > limits.error },
        },
      ];
    });
    return judged('joints', rolls.size, findings);
  },
  say(finding, words) {
    const { joint, roll, up, neighbour, mild } = finding.details;
    const capped = mild ? '; a girdle, branching or skinless joint gives a warning at most' : '';
    const like =
      neighbour === null
        ? ''
        : ` so that ${words.axis(up)} goes on from ${words.joint(neighbour)}'s`;
    // Half a turn is the same either way round.
    const signed = Math.abs(roll) > 179.9 ? 180 : roll;
    const back = words.degrees(signed === 180 ? 180 : -roll);
    return {
      message: `${words.joint(joint)} is rolled ${words.degrees(signed)} about its aim axis against its segment (limit ${words.degrees(finding.limit ?? 0)}${capped}).`,
      remedy: `Turn its frame by ${back} about the aim axis (right-handed)${like}, leaving children and mesh in place.`,
    };
  },
});

/**
 * Of two joints that differ one is blamed by the order they stand in. Where another segment clears
 * that one, the other is off, unless another segment clears it as well.
 */
function turnBlame(
  segment: SegmentRoll,
  rolls: Map<number, JointRoll>,
  belongs: ReadonlyMap<number, number>,
): void {
  const judgedHere = segment.joints.flatMap((joint, place) => {
    const roll = segment.rolls[place] ?? null;
    return roll === null ? [] : [{ joint, place, roll }];
  });
  const [first, second] = judgedHere;
  if (judgedHere.length !== 2 || first === undefined || second === undefined) return;
  for (const [blamed, other] of [
    [first, second],
    [second, first],
  ] as const) {
    const cleared = Math.abs(rolls.get(blamed.joint)?.roll ?? 0) < Math.abs(blamed.roll);
    if (!cleared || other.roll !== 0 || belongs.get(other.joint) !== 1) continue;
    rolls.set(other.joint, { roll: -blamed.roll, segment, place: other.place });
  }
}

/** The nearest joint of the segment that is not rolled itself, to line up with. */
function nearestWithin(
  { joints, rolls }: SegmentRoll,
  place: number,
  limit: number,
): number | null {
  const held = joints.flatMap((joint, at) => {
    const roll = rolls[at] ?? null;
    return at !== place && roll !== null && Math.abs(roll) <= limit
      ? [{ joint, gap: Math.abs(at - place) }]
      : [];
  });
  return held.sort((a, b) => a.gap - b.gap)[0]?.joint ?? null;
}

interface JointRoll {
  readonly roll: number;
  readonly segment: SegmentRoll;
  readonly place: number;
}

/**
 * One roll a joint. A branching joint belongs to two segments; it is off only if it agrees with
 * neither, so the smaller roll counts.
 */
function rollOfJoints(segments: readonly SegmentRoll[]): Map<number, JointRoll> {
  const rolls = new Map<number, JointRoll>();
  const belongs = new Map<number, number>();
  for (const segment of segments) {
    segment.joints.forEach((joint, place) => {
      const roll = segment.rolls[place] ?? null;
      if (roll === null) return;
      belongs.set(joint, (belongs.get(joint) ?? 0) + 1);
      const earlier = rolls.get(joint);
      if (earlier !== undefined && Math.abs(earlier.roll) <= Math.abs(roll)) return;
      rolls.set(joint, { roll, segment, place });
    });
  }
  for (const segment of segments) turnBlame(segment, rolls, belongs);
  return new Map([...rolls.entries()].sort((a, b) => a[0] - b[0]));
}
