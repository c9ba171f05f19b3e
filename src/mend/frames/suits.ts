import type { LimitOf } from '../../kit/rule.js';
import type { Axis, Facts } from '../../measure/facts.js';
import { boneDirection } from '../../measure/skeleton/bones.js';
import { aimAxisOf, aimJoints } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import type { Frame } from '../../measure/skeleton/frame.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';
import { angleBetween, scale, type Vec3 } from '../../rig/vec3.js';

/**
 * Whether a frame suits the bone of a joint, and the roll of a segment of it: a mend must not trade one
 * finding for another.
 *
 * @param isFree Joints that are turned along with it, so that their roll tells nothing.
 */
export function suits(
  facts: Facts,
  joint: number,
  frame: Frame,
  isFree: (joint: number) => boolean,
  limitOf: LimitOf,
): boolean {
  const [aim, { up }] = [aimAxisOf(facts, joint), conventions(facts)];
  if (aim === null || up === null) return true;
  const bone = boneDirection(facts, joint, aimJoints(facts)[joint] ?? -1);
  if (bone !== null && angleBetween(along(frame, aim), bone) > limitOf('axis.aim', 'warn'))
    return false;
  const held = segmentRolls(facts).filter(({ joints }) => joints.slice(0, -1).includes(joint));
  const isHeldRight = ({ joints, rolls, carriedUps }: (typeof held)[number]): boolean => {
    const carried = carriedUps[joints.indexOf(joint)];
    const isFixed = joints.some((other, at) => !isFree(other) && rolls[at] != null);
    return (
      !isFixed ||
      carried === undefined ||
      angleBetween(along(frame, up), carried) <= limitOf('axis.up', 'warn')
    );
  };
  // A joint that branches belongs to several, and agrees with one of them.
  return held.length === 0 || held.some(isHeldRight);
}

function along(frame: Frame, { index, sign }: Axis): Vec3 {
  return scale(frame[index], sign);
}
