import {
  angleBetween,
  carry,
  perpendicular,
  signedAngle,
  turn,
  type Vec3,
} from '../../rig/vec3.js';
import { type Axis, type Facts, fact } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { isBranching } from './body-root.js';
import { boneDirection } from './bones.js';
import { aimAxisOf, girdleJoints, segments } from './chains.js';
import { conventions } from './conventions.js';
import { axisWorld, frames } from './frames.js';
import { frameMiss, pairMiss } from './mirror.js';
import { pairs } from './pairs.js';

/** The frames along one segment, against frames carried along it without roll. */
export interface SegmentRoll {
  readonly joints: readonly number[];
  /** World direction that each joint aims along: its bone, for the last joint its own aim axis. */
  readonly aims: readonly Vec3[];
  /** The up axis each joint should have: carried along, at the segment's reference roll. */
  readonly carriedUps: readonly Vec3[];
  /** Signed angle in degrees from that up axis to the joint's own; null where it says nothing. */
  readonly rolls: readonly (number | null)[];
}

/** Beyond this a joint points elsewhere, and its roll about the bone says nothing. Degrees. */
const ROLL_NEEDS_AIM_DEGREES = 45;

/** Girdle joints and joints without skin mass count half in the reference roll. */
const HALF = 0.5;

/**
 * Where two joints differ, nothing in them tells which is off. The end joint after them is asked: it
 * may point where it likes and is not judged here, so it outweighs a girdle joint, but no other.
 */
const WITNESS = 0.6;

/** A joint whose partner's frame is off by more is trusted less: one of the two was turned. Degrees. */
const TRUSTED_DEGREES = 5;

/** Beyond this an end joint turns back, and carrying an up axis to it says nothing. Degrees. */
const WITNESS_TURN_DEGREES = 135;

/**
 * Roll along each segment. The first joint's up axis is carried along by the smallest rotation from
 * each aim direction to the next (parallel transport; discrete Bishop frame); a joint's roll is the
 * signed angle about its aim direction from the carried up axis, less the segment's reference roll,
 * the weighted circular median. End joints are judged by other means and have none.
 */
export const segmentRolls = fact((facts): readonly SegmentRoll[] => {
  return segments(facts)
    .filter((segment) => segment.length >= 2)
    .flatMap((segment) => measureSegment(facts, segment) ?? []);
});

function measureSegment(facts: Facts, joints: readonly number[]): SegmentRoll | null {
  const { up } = conventions(facts);
  if (up === null) return null;
  const aims: Vec3[] = [];
  joints.forEach((joint, place) => {
    const child = joints[place + 1];
    const bone = child === undefined ? null : boneDirection(facts, joint, child);
    aims.push(bone ?? ownAim(facts, joint, aims.at(-1)));
  });
  const first = aims[0] ?? [1, 0, 0];
  const carried: Vec3[] = [perpendicular(first)];
  for (let place = 1; place < joints.length; place++) {
    const [from, to, before] = [aims[place - 1], aims[place], carried[place - 1]];
    if (from === undefined || to === undefined || before === undefined) return null;
    carried.push(carry(before, from, to));
  }
  const raw = joints.map((joint, place) => rawRoll(facts, joint, aims[place], carried[place], up));
  const judged = raw.filter((roll) => roll !== null).length;
  // Where one of two is off its own partner and the other is not, that tells enough.
  const apart = joints.filter((joint, place) => {
    return raw[place] !== null && pairMiss(facts, joint) > TRUSTED_DEGREES;
  });
  const trusted =
    (judged === 2 && apart.length !== 1) ||
    (judged === 1 && trustedEnd(facts, joints.at(-1) ?? -1));
  const witness = trusted ? endRoll(facts, joints, aims, carried, up) : null;
  const reference = circularMedian(
    [...raw, witness],
    [...joints.map((joint) => rollWeight(facts, joint)), WITNESS],
  );
  return {
    joints,
    aims,
    carriedUps: carried.map((item, place) =>
      turn(item, aims[place] ?? first, (reference * Math.PI) / 180),
    ),
    // A joint alone, with nothing to be held against, is neither off nor cleared.
    rolls: raw.map((roll) =>
      roll === null || (judged === 1 && witness === null) ? null : wrap(roll - reference),
    ),
  };
}

/** Where the last joint of a segment aims: along its own axis unless that points clean away. */
function ownAim(facts: Facts, joint: number, before: Vec3 | undefined): Vec3 {
  const axis = aimAxisOf(facts, joint);
  const own = axis === null ? null : axisWorld(facts, joint, axis);
  if (before === undefined) return own ?? [1, 0, 0];
  return own !== null && angleBetween(own, before) < 2 * ROLL_NEEDS_AIM_DEGREES ? own : before;
}

function rawRoll(
  facts: Facts,
  joint: number,
  aim: Vec3 | undefined,
  carriedUp: Vec3 | undefined,
  up: Axis,
): number | null {
  if (aim === undefined || carriedUp === undefined) return null;
  if ((facts.rig.joints.children[joint] ?? []).length === 0) return null;
  const axis = aimAxisOf(facts, joint);
  if (axis === null || angleBetween(axisWorld(facts, joint, axis), aim) > ROLL_NEEDS_AIM_DEGREES)
    return null;
  return signedAngle(carriedUp, axisWorld(facts, joint, up), aim);
}

/** The roll of the end joint of a segment, for the reference only. */
function endRoll(
  facts: Facts,
  joints: readonly number[],
  aims: readonly Vec3[],
  carried: readonly Vec3[],
  up: Axis,
): number | null {
  const last = joints.at(-1) ?? -1;
  const [before, carriedBefore] = [aims.at(-2), carried.at(-2)];
  const axis = aimAxisOf(facts, last);
  const isEnd = (facts.rig.joints.children[last] ?? []).length === 0;
  if (!isEnd || axis === null || before === undefined || carriedBefore === undefined) return null;
  const own = axisWorld(facts, last, axis);
  if (angleBetween(own, before) > WITNESS_TURN_DEGREES) return null;
  return signedAngle(carry(carriedBefore, before, own), axisWorld(facts, last, up), own);
}

/** A midline frame mirrors itself when one of its axes runs across. Degrees. */
const ACROSS_DEGREES = 5;

/**
 * Whether an end joint can speak against a lone girdle joint: its pair follows the mirror scheme, or,
 * in the middle, one of its axes runs straight across. Else it is itself turned as likely as not.
 */
function trustedEnd(facts: Facts, joint: number): boolean {
  const { partner } = pairs(facts);
  if (partner[joint] !== -1) return (frameMiss(facts, joint) ?? 0) <= TRUSTED_DEGREES;
  return (frames(facts)[joint] ?? []).some((axis) => {
    const off = angleBetween(axis, [1, 0, 0]);
    return Math.min(off, 180 - off) <= ACROSS_DEGREES;
  });
}

function rollWeight(facts: Facts, joint: number): number {
  const off = pairMiss(facts, joint) > TRUSTED_DEGREES ? HALF : 1;
  const light = (skinMass(facts).ofJoint[joint] ?? 0) === 0 && skinMass(facts).hasMesh;
  return girdleJoints(facts)[joint] === 1 || isBranching(facts, joint) || light ? HALF * off : off;
}

/** Sums of turns within this of each other are as good as equal: then the larger number decides. Share. */
const EQUAL_SUMS = 0.1;
/** Sums differ by less only by rounding. Degrees. */
const ROUNDING = 1e-9;
/** Angles agree within this. Degrees. */
const AGREE_DEGREES = 1;

/**
 * The weighted circular median of angles in degrees: the one of them with the smallest weighted sum
 * of turns to all others; among such as are nearly equal the one that most of them agree with, and then
 * the first, so that two joints that differ blame the second. 0 for none.
 */
export function circularMedian(
  angles: readonly (number | null)[],
  weights: readonly number[],
): number {
  let best = { angle: 0, sum: Infinity, agree: 0 };
  const stride = Math.ceil(angles.length / CANDIDATES);
  for (let index = 0; index < angles.length; index += stride) {
    const candidate = angles[index];
    if (candidate == null) continue;
    let [sum, agree] = [0, 0];
    angles.forEach((other, place) => {
      if (other === null) return;
      const turn = Math.abs(wrap(other - candidate));
      sum += (weights[place] ?? 1) * turn;
      if (turn <= AGREE_DEGREES) agree++;
    });
    const clearly = sum < best.sum * (1 - EQUAL_SUMS);
    const nearly = sum <= best.sum * (1 + EQUAL_SUMS);
    const less = sum < best.sum - ROUNDING && agree >= best.agree;
    if (clearly || less || (nearly && agree > best.agree)) best = { angle: candidate, sum, agree };
  }
  return best.angle;
}

/** Candidates tried: on a longer segment every so many joints, since each is held to all others. */
const CANDIDATES = 1024;

/** The same turn between -180 (left out) and 180 degrees. */
export function wrap(angle: number): number {
  const turned = angle - 360 * Math.round(angle / 360);
  return turned <= -180 ? turned + 360 : turned;
}
