import type { Axis, Facts } from '../../measure/facts.js';
import { boneDirection } from '../../measure/skeleton/bones.js';
import { aimAxisOf, aimJoints } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { axisWorld, type Frame } from '../../measure/skeleton/frames.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';
import { angleBetween, carry, scale, type Vec3 } from '../../rig/vec3.js';
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
