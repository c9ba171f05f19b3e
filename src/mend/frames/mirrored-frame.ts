import type { Facts } from '../../measure/facts.js';
import { aimAxisOf } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import type { Frame } from '../../measure/skeleton/frame.js';
import { frameAngle } from '../../measure/skeleton/frames.js';
import { heldScheme, type MirrorScheme, mirror } from '../../measure/skeleton/mirror.js';
import { scale, type Vec3 } from '../../rig/vec3.js';

/** What a scheme makes of the frame of one joint of a pair for the other, from either side. */
export function mirroredFrame(
  facts: Facts,
  joint: number,
  frame: Frame,
  scheme: MirrorScheme,
): Frame {
  if (scheme === 'copied') return frame;
  const aim = aimAxisOf(facts, joint)?.index ?? 0;
  const up = conventions(facts).up?.index ?? (aim + 1) % 3;
  const turned = { 'aim reversed': aim, 'up reversed': up, 'side reversed': 3 - aim - up };
  const mirroredAxis = (axis: 0 | 1 | 2): Vec3 => {
    const [x, y, z] = frame[axis];
    const isReversed = scheme === 'all reversed' || turned[scheme] === axis;
    return scale([-x, y, z], isReversed ? -1 : 1);
  };
  return [mirroredAxis(0), mirroredAxis(1), mirroredAxis(2)];
}

/** What a rig can be given that follows no scheme. That of copied frames suits no bones that mirror. */
const GIVEN = ['side reversed', 'up reversed', 'all reversed', 'aim reversed'] as const;

/**
 * The mirror scheme of the standard, else of the rig; of one that follows none, as when it is rolled at random, the one that its
 * pairs are nearest to in all. Null without pairs whose bones mirror.
 *
 * @param frameOf The frame that each joint is to have.
 */
export function schemeFor(
  facts: Facts,
  frameOf: (joint: number) => Frame | undefined,
): MirrorScheme | null {
  const [{ pairs }, scheme] = [mirror(facts), heldScheme(facts)];
  if (scheme !== null || pairs.length === 0) return scheme;
  const missOf = (given: MirrorScheme): number =>
    pairs.reduce((sum, { pair: { left, right } }) => {
      const [from, to] = [frameOf(left), frameOf(right)];
      if (from === undefined || to === undefined) return sum;
      return sum + frameAngle(mirroredFrame(facts, left, from, given), to);
    }, 0);
  return GIVEN.map((given) => ({ given, miss: missOf(given) })).reduce((least, other) =>
    other.miss < least.miss ? other : least,
  ).given;
}
