import { type Facts, fact } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { isBranching } from './body-root.js';
import { girdleJoints, inFans, upperLimbs } from './chains.js';
import { isInsideLimb } from './inside-limb.js';
import { pairMiss } from './mirror.js';
import { type SegmentRoll, segmentRolls } from './roll.js';

/** The roll of one joint against the segment that it agrees with most. Degrees. */
export interface JointRoll {
  readonly roll: number;
  readonly segment: SegmentRoll;
  readonly place: number;
}

/** One roll a joint: the smaller for a branching joint, which is off only if off both segments. */
export const jointRolls = fact((facts): ReadonlyMap<number, JointRoll> => {
  const segments = segmentRolls(facts);
  const rolls = new Map<number, JointRoll>();
  const belongs = new Map<number, number>();
  for (const segment of segments) {
    for (const { joint, roll, place } of judgedIn(segment)) {
      belongs.set(joint, (belongs.get(joint) ?? 0) + 1);
      const earlier = rolls.get(joint);
      if (earlier !== undefined && Math.abs(earlier.roll) <= Math.abs(roll)) continue;
      rolls.set(joint, { roll, segment, place });
    }
  }
  for (const segment of segments) turnBlame(segment, rolls, belongs);
  return new Map([...rolls].sort((a, b) => a[0] - b[0]));
});

/**
 * Of two joints that differ one is blamed by their order. Where another segment clears that one,
 * the other is off, unless another segment clears it as well.
 */
function turnBlame(
  segment: SegmentRoll,
  rolls: Map<number, JointRoll>,
  belongs: ReadonlyMap<number, number>,
): void {
  const [first, second, ...others] = judgedIn(segment);
  if (first === undefined || second === undefined || others.length > 0) return;
  for (const [blamed, other] of [
    [first, second],
    [second, first],
  ] as const) {
    const isCleared = Math.abs(rolls.get(blamed.joint)?.roll ?? 0) < Math.abs(blamed.roll);
    if (isCleared && other.roll === 0 && belongs.get(other.joint) === 1)
      rolls.set(other.joint, { roll: -blamed.roll, segment, place: other.place });
  }
}

/** The joints of a segment that have a roll in it, with their places. */
function judgedIn(segment: SegmentRoll): { joint: number; place: number; roll: number }[] {
  return segment.joints.flatMap((joint, place) => {
    const roll = segment.rolls[place] ?? null;
    return roll === null ? [] : [{ joint, place, roll }];
  });
}

/** The nearest joint of the segment that is not rolled itself, to line up with. */
export function nearestWithin({ segment, place }: JointRoll, limit: number): number | null {
  const [nearest] = judgedIn(segment)
    .filter((other) => other.place !== place && Math.abs(other.roll) <= limit)
    .sort((a, b) => Math.abs(a.place - place) - Math.abs(b.place - place));
  return nearest?.joint ?? null;
}

/** A pair is mirrored when its frames lie within this of the scheme of the rig. Degrees. */
const MIRRORED_DEGREES = 5;

/**
 * The most that a roll can be. Good rigs turn collarbones and hands differently from the arm, alike
 * on both sides. Feet, joints without skin and the last joint that has some bend nothing after
 * them.
 */
export function mostOfRoll(
  facts: Facts,
  joint: number,
  { segment, place }: JointRoll,
): 'error' | 'warning' | 'note' {
  const { moves, movesBelow } = skinMass(facts);
  if (girdleJoints(facts)[joint] === 1 || isBranching(facts, joint)) {
    const isMirrored = (pairMiss(facts, joint) ?? Infinity) <= MIRRORED_DEGREES;
    const isOther = inFans(facts)[joint] === 1 || upperLimbs(facts)[joint] === 1;
    return isMirrored && !isOther ? 'note' : 'warning';
  }
  const next = segment.joints[place + 1] ?? -1;
  if (moves[joint] === 0 || next === -1 || movesBelow[next] === 0) return 'warning';
  return isInsideLimb(facts, joint, next) ? 'error' : 'warning';
}
