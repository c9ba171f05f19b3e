import type { Facts } from '../../measure/facts.js';
import { boneDirection } from '../../measure/skeleton/bones.js';
import { aimAxisOf, aimJoints } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { axisWorld, type Frame } from '../../measure/skeleton/frames.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';
import { carry } from '../../rig/vec3.js';
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
  // Outside of any segment: along its bone, by the smallest turn that takes it there.
  const child = aimJoints(facts)[joint] ?? -1;
  const aim = child === -1 ? null : boneDirection(facts, joint, child);
  if (aim === null) return null;
  const present = axisWorld(facts, joint, aimAxis);
  return frameFrom(aimAxis, upAxis, aim, carry(axisWorld(facts, joint, upAxis), present, aim));
}
