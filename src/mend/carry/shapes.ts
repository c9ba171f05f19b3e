import { memberOf } from '../../asset/narrow.js';
import { transformPoint } from '../../rig/mat4.js';
import { conjugate, rotate } from '../../rig/quaternion.js';
import { scale, type Vec3 } from '../../rig/vec3.js';
import { type CarryPlan, objectOf } from './carry-plan.js';
import { type FrameChange, turns } from './frame-change.js';

/** Where something stands in a file, and what it is called when it cannot be carried. */
export interface Held {
  readonly plan: CarryPlan;
  /** JSON pointer of what holds the value. */
  readonly at: string;
  readonly node: number;
  readonly change: FrameChange;
  /** In words, as what comes before "cannot" or "has". */
  readonly what: string;
}

/** A place in a node's frame: p' = C^-1 p. One that is not given is the origin. */
export function carryPoint(held: Held, holder: unknown, key: string, hand: Hand = RIGHT): void {
  const to = objectOf(holder);
  if (to === null) return;
  const stored = to[key];
  const place = stored === undefined ? ORIGIN : hand.read(stored);
  if (place === null) {
    refuseValue(held, key);
    return;
  }
  const moved = hand.flip(transformPoint(held.change.inverse, hand.flip(place)));
  if (stored === undefined && moved.every((value) => Math.abs(value) < NOWHERE)) return;
  held.plan.set(to, key, hand.write(moved, stored), held.at, held.node);
}

/** A unit vector in a node's frame that stands square to a plane: n' is C^T n, made a unit again. */
export function carryNormal(held: Held, holder: unknown, key: string, usual: Vec3): void {
  const to = objectOf(holder);
  if (to === null || (held.change.scale > 0 && !turns(held.change.turn))) return;
  const normal = to[key] === undefined ? usual : RIGHT.read(to[key]);
  if (normal === null) {
    refuseValue(held, key);
    return;
  }
  const turned = rotate(conjugate(held.change.turn), normal);
  held.plan.set(to, key, clean(scale(turned, Math.sign(held.change.scale))), held.at, held.node);
}

/** A length in a node's frame: r' = r / |s|. */
export function carryLength(held: Held, holder: unknown, key: string): void {
  const to = objectOf(holder);
  const [size, factor] = [memberOf(holder, key), Math.abs(held.change.scale)];
  if (to === null || size === undefined || factor === 1) return;
  if (typeof size !== 'number') refuseValue(held, key);
  else held.plan.set(to, key, size / factor, held.at, held.node);
}

function refuseValue({ plan, node, what }: Held, key: string): void {
  plan.refuse([node], `${what} has no readable "${key}" that could follow ${plan.say(node)}`);
}

/** How a file writes three coordinates, and from which hand they are. */
interface Hand {
  read(value: unknown): Vec3 | null;
  write(place: Vec3, stored: unknown): unknown;
  /** To the right-handed axes of glTF, and back. */
  flip(place: Vec3): Vec3;
}

export const RIGHT: Hand = {
  read: (value) => (Array.isArray(value) && value.length === 3 ? threeOf(value) : null),
  write: clean,
  flip: (place) => place,
};

/**
 * An object of x, y and z in left-handed axes with Y up: those of glTF with Z reversed (VRM 0.x,
 * `vrm.secondaryanimation.collidergroup.schema.json`, `offset`).
 */
export const LEFT: Hand = {
  read: (value) =>
    objectOf(value) === null
      ? null
      : threeOf(['x', 'y', 'z'].map((axis) => memberOf(value, axis) ?? 0)),
  write: (place, stored) => {
    const [x, y, z] = clean(place);
    return { ...objectOf(stored), x, y, z };
  },
  flip: ([x, y, z]) => [x, y, -z],
};

function threeOf(values: readonly unknown[]): Vec3 | null {
  const [x, y, z] = values;
  const isPlace = [x, y, z].every((value) => typeof value === 'number' && Number.isFinite(value));
  // Just looked at.
  return isPlace ? ([x, y, z] as unknown as Vec3) : null;
}

const ORIGIN: Vec3 = [0, 0, 0];

/** Of a length of 1 in the node's frame: what float64 leaves of no move at all. */
const NOWHERE = 1e-9;

/** Without negative zeros. */
function clean([x, y, z]: Vec3): Vec3 {
  return [x || 0, y || 0, z || 0];
}
