import { type Facts, fact } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { isBranching } from './body-root.js';
import { fanOf, girdleJoints, isUpperLimb } from './chains.js';
import { isInsideLimb } from './inside-limb.js';
import { pairMiss } from './mirror.js';
import { type SegmentRoll, segmentRolls } from './roll.js';

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
export function nearestWithin({ segment, place }: JointRoll, limit: number): number | null {
  const held = Array.from(segment.joints.keys()).filter((at) => {
    const roll = segment.rolls[at] ?? null;
    return at !== place && roll !== null && Math.abs(roll) <= limit;
  });
  const [nearest = -1] = held.sort((a, b) => Math.abs(a - place) - Math.abs(b - place));
  return segment.joints[nearest] ?? null;
}

/** The roll of one joint against the segment that it agrees with most. Degrees. */
export interface JointRoll {
  readonly roll: number;
  readonly segment: SegmentRoll;
  readonly place: number;
}

/**
 * One roll a joint. A branching joint belongs to two segments; it is off only if it agrees with
 * neither, so the smaller roll counts.
 */
export const jointRolls = fact((facts): ReadonlyMap<number, JointRoll> => {
  const segments = segmentRolls(facts);
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
});

/** A pair is mirrored when its frames lie within this of the scheme of the rig. Degrees. */
const MIRRORED_DEGREES = 5;

/**
 * The most that a roll can be. Rigs of good craft turn collarbones and hands differently from the arm,
 * alike on both sides: good to know. Feet, joints without skin and the last joint that has some bend
 * nothing after them.
 */
export function mostOfRoll(
  facts: Facts,
  joint: number,
  { segment, place }: JointRoll,
): 'error' | 'warning' | 'note' {
  const { moves } = skinMass(facts);
  const girdle = girdleJoints(facts)[joint] === 1 || isBranching(facts, joint);
  const next = segment.joints[place + 1] ?? -1;
  if (girdle) {
    const above = facts.rig.joints.parent[joint] ?? -1;
    const finger = above !== -1 && fanOf(facts, above).includes(joint);
    const mirrored = (pairMiss(facts, joint) ?? Infinity) <= MIRRORED_DEGREES;
    return mirrored && !finger && !isUpperLimb(facts, joint) ? 'note' : 'warning';
  }
  const last = next === -1 || skinMass(facts).movesBelow[next] === 0;
  if (moves[joint] === 0 || last || !isInsideLimb(facts, joint, next)) return 'warning';
  return 'error';
}
