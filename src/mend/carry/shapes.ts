import { memberOf } from '../../asset/narrow.js';
import { transformPoint } from '../../rig/mat4.js';
import { conjugate, rotate } from '../../rig/quaternion.js';
import { scale as scaled, type Vec3 } from '../../rig/vec3.js';
import { type CarryPlan, objectOf } from './carry-plan.js';
import { type FrameChange, turns } from './frame-change.js';

/** A node whose frame changes, and something given in it: what comes before "cannot" or "has". */
export interface InFrame {
  readonly plan: CarryPlan;
  readonly node: number;
  readonly change: FrameChange;
  readonly what: string;
}

/** Null where there is no node, or its frame stays. */
export function inFrame(plan: CarryPlan, node: number | null, what: string): InFrame | null {
  if (node === null) return null;
  const change = plan.changeOf(node, what);
  const isSame = !change.moves && change.scale === 1 && !turns(change.turn);
  return isSame ? null : { plan, node, change, what };
}

/** What becomes of a stored value: undefined where it stays, null where it cannot be read. */
type Carry = (stored: unknown, change: FrameChange) => unknown;

/**
 * Carries members of an object along with a node's frame, each in its way.
 *
 * @param holder Anything but an object has no members to carry.
 * @param pointer JSON pointer of the holder.
 */
export function carryMembers(
  { plan, node, change, what }: InFrame,
  holder: unknown,
  pointer: string,
  members: Readonly<Record<string, Carry>>,
): void {
  const object = objectOf(holder);
  if (object === null) return;
  for (const [key, carry] of Object.entries(members)) {
    const value = carry(object[key], change);
    if (value === null)
      plan.refuse([node], `${what} has no readable "${key}" that could follow ${plan.say(node)}`);
    else if (value !== undefined)
      plan.edits.push({ holder: object, key, value, pointer: `${pointer}/${key}`, node });
  }
}

/** A place in a node's frame: p' = C^-1 p. One that is not given is the origin. */
export const point = pointOf({
  read: threeOf,
  write: clean,
  flip: (place) => place,
});

/**
 * A place as an object of x, y and z in left-handed axes with Y up: those of glTF with Z reversed (VRM
 * 0.x, `vrm.secondaryanimation.collidergroup.schema.json`, `offset`).
 */
export const leftHandedPoint = pointOf({
  read: (value) =>
    objectOf(value) && threeOf(['x', 'y', 'z'].map((axis) => memberOf(value, axis) ?? 0)),
  write: (place, stored) => {
    const [x, y, z] = clean(place);
    return { ...objectOf(stored), x, y, z };
  },
  flip: ([x, y, z]) => [x, y, -z],
});

/** A unit vector square to a plane in a node's frame, usually +Z: n' is C^T n, made a unit again. */
export const normal: Carry = (stored, { scale, turn }) => {
  if (scale > 0 && !turns(turn)) return undefined;
  const vector = stored === undefined ? ([0, 0, 1] as const) : threeOf(stored);
  return vector && clean(scaled(rotate(conjugate(turn), vector), Math.sign(scale)));
};

/** A length in a node's frame: r' = r / |s|. */
export const length: Carry = (stored, { scale }) => {
  if (stored === undefined || Math.abs(scale) === 1) return undefined;
  return typeof stored === 'number' ? stored / Math.abs(scale) : null;
};

/** @param hand How coordinates are written; `flip` leads to the right-handed axes of glTF, and back. */
function pointOf(hand: {
  read(value: unknown): Vec3 | null;
  write(place: Vec3, stored: unknown): unknown;
  flip(place: Vec3): Vec3;
}): Carry {
  return (stored, { inverse }) => {
    const place = stored === undefined ? ([0, 0, 0] as const) : hand.read(stored);
    if (place === null) return null;
    const moved = hand.flip(transformPoint(inverse, hand.flip(place)));
    const isOrigin = moved.every((value) => Math.abs(value) < NOWHERE);
    return stored === undefined && isOrigin ? undefined : hand.write(moved, stored);
  };
}

function threeOf(value: unknown): Vec3 | null {
  const isPlace =
    Array.isArray(value) && value.length === 3 && value.every((part) => Number.isFinite(part));
  // Three numbers, as the line above has tested.
  return isPlace ? (value as unknown as Vec3) : null;
}

/** Of a length of 1 in the node's frame: what float64 leaves of no move at all. */
const NOWHERE = 1e-9;

/** Without negative zeros. */
function clean([x, y, z]: Vec3): Vec3 {
  return [x || 0, y || 0, z || 0];
}
