import type { LimitOf } from '../../kit/rule.js';
import type { Axis, Facts } from '../../measure/facts.js';
import { aimAxisOf } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { type Frame, frames } from '../../measure/skeleton/frames.js';
import { type MirrorScheme, mirror } from '../../measure/skeleton/mirror.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';
import { angleBetween, scale, type Vec3 } from '../../rig/vec3.js';
import { builtFrame } from './built-frame.js';

/**
 * What the rig's mirror scheme makes of the left, for the right of a pair; for all of its segment
 * where all of that is off, since a limb rolled as a whole is one fault. Null where it does not suit
 * the bones, or the segment: a mend must not trade one finding for another.
 */
export function mirroredRun(
  facts: Facts,
  right: number,
  limitOf: LimitOf,
  planned: (joint: number) => Frame | undefined,
): Map<number, Frame> | null {
  const { scheme, pairs: judged } = mirror(facts);
  const told = judged.find(({ pair }) => pair.right === right);
  if (scheme === null || told === undefined) return null;
  const segment = segmentRolls(facts).find(({ joints }) => joints.includes(told.pair.right));
  const inSegment = judged.filter(({ pair }) => segment?.joints.includes(pair.right) === true);
  const near = limitOf('axis.mirror', 'turn');
  const whole = inSegment.length > 0 && inSegment.every(({ miss }) => miss[scheme] > near);
  const run = whole ? inSegment : [told];
  const made = new Map<number, Frame>();
  for (const { pair } of run) {
    const source = planned(pair.left) ?? frames(facts)[pair.left];
    if (source === undefined) return null;
    const frame = mirroredFrame(facts, pair.left, source, scheme);
    if (planned(pair.right) !== undefined || !suits(facts, pair.right, frame, whole, limitOf))
      return null;
    made.set(pair.right, frame);
  }
  return made;
}

/** Whether a frame suits a joint's bone, and the roll of its segment unless all of that is turned. */
function suits(
  facts: Facts,
  joint: number,
  frame: Frame,
  aimAlone: boolean,
  limitOf: LimitOf,
): boolean {
  const built = builtFrame(facts, joint);
  const [aim, { up }] = [aimAxisOf(facts, joint), conventions(facts)];
  if (built === null || aim === null || up === null) return true;
  const isNear = (axis: Axis, rule: string): boolean =>
    angleBetween(frame[axis.index], built[axis.index]) <= limitOf(rule, 'warn');
  return isNear(aim, 'axis.aim') && (aimAlone || isNear(up, 'axis.up'));
}

function mirroredFrame(facts: Facts, left: number, frame: Frame, scheme: MirrorScheme): Frame {
  if (scheme === 'copied') return frame;
  const aim = aimAxisOf(facts, left)?.index ?? 0;
  const up = conventions(facts).up?.index ?? (aim + 1) % 3;
  const turned = { 'aim reversed': aim, 'up reversed': up, 'side reversed': 3 - aim - up };
  const sign = (axis: number): number =>
    scheme === 'behaviour' ? -1 : turned[scheme] === axis ? -1 : 1;
  const of = (axis: 0 | 1 | 2): Vec3 => {
    const [x, y, z] = frame[axis];
    return scale([-x, y, z], sign(axis));
  };
  return [of(0), of(1), of(2)];
}
