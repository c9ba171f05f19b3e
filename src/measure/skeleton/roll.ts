import {
  angleBetween,
  carry,
  perpendicular,
  radians,
  signedAngle,
  turn,
  type Vec3,
} from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { isBranching } from './body-root.js';
import { boneDirection } from './bones.js';
import { aimAndUp, girdleJoints, segments } from './chains.js';
import { conventions } from './conventions.js';
import { frames } from './frames.js';
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
  /** Whether a joint's own up axis went into `carriedUps`. */
  readonly counted: readonly boolean[];
}

/** Beyond this a joint points elsewhere, and its roll about the bone says nothing. Degrees. */
const ROLL_NEEDS_AIM_DEGREES = 45;
/** Girdle joints and joints without skin mass count half in the reference roll. */
const HALF = 0.5;
/** Where two joints differ the end joint after them decides: it outweighs a girdle joint alone. */
const WITNESS = 0.6;
/** A joint whose partner's frame is off by more is trusted less: one of the two was turned. Degrees. */
const TRUSTED_DEGREES = 5;
/** An end joint that aims farther off the bone before it has no roll. Degrees. */
const END_TURN_DEGREES = 135;
/** A midline frame mirrors itself when one of its axes runs across. Degrees. */
const ACROSS_DEGREES = 5;

/**
 * Roll along each segment. An up axis is carried along by the smallest rotation from each aim
 * direction to the next (parallel transport; discrete Bishop frame); a joint's roll is the signed
 * angle about its aim direction from the carried up axis, less the segment's reference roll, the
 * weighted circular median. End joints have none (see `endJoints`).
 */
export const segmentRolls = fact((facts): readonly SegmentRoll[] => {
  return segments(facts)
    .filter((segment) => segment.length >= 2)
    .flatMap((segment) => measureSegment(facts, segment) ?? []);
});

function measureSegment(facts: Facts, joints: readonly number[]): SegmentRoll | null {
  if (conventions(facts).up === null) return null;
  const aims: Vec3[] = [];
  for (const [place, joint] of joints.entries()) {
    const bone = boneDirection(facts, joint, joints[place + 1] ?? -1);
    aims.push(bone ?? aimOfLast(facts, joint, aims.at(-1)));
  }
  const first = aims[0] ?? [1, 0, 0];
  const carried: Vec3[] = [perpendicular(first)];
  for (let at = 1; at < aims.length; at++)
    carried.push(carry(carried[at - 1] ?? first, aims[at - 1] ?? first, aims[at] ?? first));
  const raw = joints.map((joint, place) =>
    rawRoll(facts, joint, aims[place] ?? first, carried[place] ?? first),
  );
  const judged = raw.filter((roll) => roll !== null).length;
  // Where one of two is off its own partner and the other is not, that tells enough.
  const apart = joints.filter((joint, place) => raw[place] !== null && isOffPartner(facts, joint));
  const last = joints.at(-1) ?? -1;
  const isTrusted = judged === 2 ? apart.length !== 1 : judged === 1 && isTrustedEnd(facts, last);
  const witness =
    isTrusted && isEnd(facts, last)
      ? endRoll(facts, last, aims.at(-2) ?? first, carried.at(-2) ?? first)
      : null;
  const reference = circularMedian(
    [...raw, witness],
    [...joints.map((joint) => rollWeight(facts, joint)), WITNESS],
  );
  return {
    joints,
    aims,
    carriedUps: carried.map((up, place) => turn(up, aims[place] ?? first, radians(reference))),
    counted: raw.map((roll) => roll !== null),
    // A joint alone, with nothing to be held against, is neither off nor cleared.
    rolls: raw.map((roll) =>
      roll === null || (judged === 1 && witness === null) ? null : wrap(roll - reference),
    ),
  };
}

function isEnd({ rig }: Facts, joint: number): boolean {
  return (rig.joints.children[joint] ?? []).length === 0;
}

/** Where the last joint of a segment aims: along its aim axis unless that points clean away. */
function aimOfLast(facts: Facts, joint: number, before: Vec3 | undefined): Vec3 {
  const aim = aimAndUp(facts, joint)?.aim ?? before ?? [1, 0, 0];
  return before !== undefined && angleBetween(aim, before) >= 2 * ROLL_NEEDS_AIM_DEGREES
    ? before
    : aim;
}

function rawRoll(facts: Facts, joint: number, aim: Vec3, carriedUp: Vec3): number | null {
  const axes = aimAndUp(facts, joint);
  if (axes === null || isEnd(facts, joint)) return null;
  if (angleBetween(axes.aim, aim) > ROLL_NEEDS_AIM_DEGREES) return null;
  return signedAngle(carriedUp, axes.up, aim);
}

/** Roll of an end joint from the up axis before it, carried to its aim; null if that is far off. */
export function endRoll(facts: Facts, joint: number, aim: Vec3, upBefore: Vec3): number | null {
  const axes = aimAndUp(facts, joint);
  if (axes === null || angleBetween(axes.aim, aim) > END_TURN_DEGREES) return null;
  return signedAngle(carry(upBefore, aim, axes.aim), axes.up, axes.aim);
}

/**
 * Whether an end joint can be held against a lone girdle joint, and is not as likely to be turned:
 * its pair follows the mirror scheme, or, in the middle, one of its axes runs straight across.
 */
function isTrustedEnd(facts: Facts, joint: number): boolean {
  const { partner } = pairs(facts);
  if (partner[joint] !== -1) return (frameMiss(facts, joint) ?? 0) <= TRUSTED_DEGREES;
  return (frames(facts)[joint] ?? []).some((axis) => {
    const off = angleBetween(axis, [1, 0, 0]);
    return Math.min(off, 180 - off) <= ACROSS_DEGREES;
  });
}

function isOffPartner(facts: Facts, joint: number): boolean {
  return (pairMiss(facts, joint) ?? 0) > TRUSTED_DEGREES;
}

function rollWeight(facts: Facts, joint: number): number {
  const { ofJoint, hasMesh } = skinMass(facts);
  const isLight = hasMesh && (ofJoint[joint] ?? 0) === 0;
  const isGirdle = girdleJoints(facts)[joint] === 1 || isBranching(facts, joint);
  return (isLight || isGirdle ? HALF : 1) * (isOffPartner(facts, joint) ? HALF : 1);
}

/** Sums of turns within this share of each other count as equal: then more joints decide. */
const EQUAL_SUMS = 0.1;
/** Sums differ by less only by rounding. Degrees. */
const ROUNDING = 1e-9;
/** Angles agree within this. Degrees. */
const AGREE_DEGREES = 1;
/** Candidates tried: on a longer segment every so many joints, since each is held to all others. */
const CANDIDATES = 1024;

/**
 * The weighted circular median of angles in degrees: the one with the smallest weighted sum of
 * turns to all others; of sums that are nearly equal the one that most agree with, and then the
 * first, so that two joints that differ blame the second. 0 for none.
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
    let sum = 0;
    let agree = 0;
    for (let place = 0; place < angles.length; place++) {
      const other = angles[place];
      if (other == null) continue;
      const turn = Math.abs(wrap(other - candidate));
      sum += (weights[place] ?? 1) * turn;
      if (turn <= AGREE_DEGREES) agree++;
    }
    const clearly = sum < best.sum * (1 - EQUAL_SUMS);
    const nearly = sum <= best.sum * (1 + EQUAL_SUMS);
    const less = sum < best.sum - ROUNDING && agree >= best.agree;
    if (clearly || less || (nearly && agree > best.agree)) best = { angle: candidate, sum, agree };
  }
  return best.angle;
}

/** The same turn between -180 (left out) and 180 degrees. */
export function wrap(angle: number): number {
  const turned = angle - 360 * Math.round(angle / 360);
  return turned <= -180 ? turned + 360 : turned;
}
