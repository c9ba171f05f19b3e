import type { Axis, Facts } from '../../measure/facts.js';
import { squareBranchings } from '../../measure/skeleton/aim.js';
import { boneDirection } from '../../measure/skeleton/bones.js';
import { aimAxisOf, aimJoints } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import type { Frame } from '../../measure/skeleton/frame.js';
import { axisWorld, frames } from '../../measure/skeleton/frames.js';
import { jointRolls } from '../../measure/skeleton/joint-rolls.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';
import { angleBetween, carry, radians, scale, turn, type Vec3 } from '../../rig/vec3.js';
import { frameFrom } from './frame-algebra.js';

/** Aim axis along the bone, up axis as carried along the segment; null where the rig does not say. */
export function builtFrame(facts: Facts, joint: number): Frame | null {
  const [aimAxis, { up: upAxis }] = [aimAxisOf(facts, joint), conventions(facts)];
  if (aimAxis === null || upAxis === null) return null;
  for (const { joints, aims, carriedUps } of segmentRolls(facts)) {
    const at = joints.indexOf(joint);
    const [aim, up] = [aims[at], carriedUps[at]];
    if (at === -1 || at === joints.length - 1 || aim === undefined || up === undefined) continue;
    return frameFrom(aimAxis, upAxis, aim, up);
  }
  return aimedFrame(facts, joint);
}

/**
 * The same for a joint of which only the aim is off: with the up axis of that of its segments which it is
 * nearest to, since a joint that branches agrees with one of them. It keeps its own where no segment has one
 * to hold it against.
 */
export function aimedAgain(facts: Facts, joint: number): Frame | null {
  const own = aimedFrame(facts, joint);
  const [aimAxis, { up: upAxis }] = [aimAxisOf(facts, joint), conventions(facts)];
  if (own === null || aimAxis === null || upAxis === null) return builtFrame(facts, joint);
  const along = ({ index, sign }: Axis): Vec3 => scale(own[index], sign);
  const [aim, ownUp] = [along(aimAxis), along(upAxis)];
  const held = segmentRolls(facts).flatMap(({ joints, aims, carriedUps, counted }) => {
    const place = joints.indexOf(joint);
    const [aimed, carried] = [aims[place], carriedUps[place]];
    const isHeld = joints.some((other, at) => other !== joint && counted[at] === true);
    if (!isHeld || aimed === undefined || carried === undefined) return [];
    const up = carry(carried, aimed, aim);
    return [{ up, roll: angleBetween(up, ownUp) }];
  });
  const [nearest] = held.sort((a, b) => a.roll - b.roll);
  return nearest === undefined ? own : frameFrom(aimAxis, upAxis, aim, nearest.up);
}

/** The same for a joint that is rolled: against the segment that tells it so, which it may end. */
export function rolledBack(facts: Facts, joint: number): Frame | null {
  const judged = jointRolls(facts).get(joint);
  const [aimAxis, { up: upAxis }] = [aimAxisOf(facts, joint), conventions(facts)];
  if (judged === undefined || aimAxis === null || upAxis === null) return builtFrame(facts, joint);
  const { roll, place, segment } = judged;
  const { joints, aims, carriedUps, rolls } = segment;
  const [aim, up] = [aims[place], carriedUps[place]];
  if (aim !== undefined && up !== undefined && rolls[place] === roll && place < joints.length - 1)
    return frameFrom(aimAxis, upAxis, aim, up);
  // The segment ends here, or goes by this joint and another one clears the others.
  const own = aimedFrame(facts, joint) ?? frames(facts)[joint];
  if (own === undefined) return null;
  const along = ({ index, sign }: Axis): Vec3 => scale(own[index], sign);
  const turned = turn(along(upAxis), along(aimAxis), radians(-roll));
  return frameFrom(aimAxis, upAxis, along(aimAxis), turned);
}

/**
 * The same for a joint that uses another axis. One that branches goes on to the child that continues it, and
 * takes the up axis of the segment that begins there.
 */
export function squaredFrame(facts: Facts, joint: number): Frame | null {
  const [aimAxis, { up: upAxis }] = [aimAxisOf(facts, joint), conventions(facts)];
  const target = squareBranchings(facts).find((square) => square.joint === joint)?.target;
  const aim = target === undefined ? null : boneDirection(facts, joint, target);
  if (aim === null || aimAxis === null || upAxis === null) return builtFrame(facts, joint);
  const { aims, carriedUps } = segmentRolls(facts).find(({ joints }) => joints[0] === target) ?? {};
  const [aimed, carried] = [aims?.[0], carriedUps?.[0]];
  const up =
    aimed === undefined || carried === undefined
      ? carry(axisWorld(facts, joint, upAxis), axisWorld(facts, joint, aimAxis), aim)
      : carry(carried, aimed, aim);
  return frameFrom(aimAxis, upAxis, aim, up);
}

/** Along its bone, by the smallest turn that takes it there. */
function aimedFrame(facts: Facts, joint: number): Frame | null {
  const [aimAxis, { up: upAxis }] = [aimAxisOf(facts, joint), conventions(facts)];
  if (aimAxis === null || upAxis === null) return null;
  const child = aimJoints(facts)[joint] ?? -1;
  const aim = child === -1 ? null : boneDirection(facts, joint, child);
  if (aim === null) return null;
  const present = axisWorld(facts, joint, aimAxis);
  return frameFrom(aimAxis, upAxis, aim, carry(axisWorld(facts, joint, upAxis), present, aim));
}
