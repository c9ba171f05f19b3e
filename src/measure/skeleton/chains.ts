import { angleBetween, type Vec3 } from '../../rig/vec3.js';
import { type Axis, type Facts, fact } from '../facts.js';
import { skinDirection } from '../skin/skin-centre.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot, isBranching, movingChildren } from './body-root.js';
import { boneDirection, boneLengths } from './bones.js';
import { conventions } from './conventions.js';
import { axisWorld } from './frames.js';
import { pairs } from './pairs.js';

/** A child further than this from the aim axis is no aim joint when there are several. Degrees. */
const AIM_JOINT_DEGREES = 30;

/** The aim axis a joint is held to: that of its side and limb. Null when the rig has none. */
export function aimAxisOf(facts: Facts, joint: number): Axis | null {
  const { aim, limbSign } = conventions(facts);
  if (aim === null) return null;
  const { index, sign } = aim[pairs(facts).side[joint] ?? 'middle'];
  return limbSign[joint] === -1 ? { index, sign: sign > 0 ? -1 : 1 } : { index, sign };
}

/**
 * The aim joint of each joint, -1 for none: its only child joint; with several, the one whose
 * direction is nearest to the aim axis, if within 30 degrees; and where none is, the only one of
 * them that moves skin, which the frame then misses.
 *
 * Left and right children of a joint in the middle (thighs, ears) are no continuation of it. Nor is
 * a child that is merely hung on (a head's jaw).
 */
export const aimJoints = fact((facts): Int32Array => {
  const { count } = facts.rig.joints;
  return Int32Array.from({ length: count }, (_, joint) => {
    const children = facts.rig.joints.children[joint] ?? [];
    const able = continuing(facts, joint, children);
    if (children.length <= 1) return hungOn(facts, joint, able[0]) ? -1 : (able[0] ?? -1);
    const moving = movingChildren(facts, joint);
    const nearest = nearestToAim(facts, joint, able);
    if (nearest !== -1) return nearest;
    const only = moving.length === 1 ? moving[0] : undefined;
    return only === undefined || !able.includes(only) || hungOn(facts, joint, only) ? -1 : only;
  });
});

function continuing(facts: Facts, joint: number, children: readonly number[]): readonly number[] {
  const { partner } = pairs(facts);
  if (partner[joint] !== -1) return children;
  const { parent } = facts.rig.joints;
  return children.filter((child) => {
    const other = partner[child] ?? -1;
    return other === -1 || parent[other] !== joint;
  });
}

/**
 * A tip or socket must lie this much nearer to the aim axis than a child that moves skin to be
 * preferred. Degrees.
 */
const TIP_HANDICAP_DEGREES = 10;

function nearestToAim(facts: Facts, joint: number, children: readonly number[]): number {
  const axis = aimAxisOf(facts, joint);
  if (axis === null) return -1;
  const aim = axisWorld(facts, joint, axis);
  const movers = new Set(movingChildren(facts, joint));
  let [best, least] = [-1, Infinity];
  for (const child of children) {
    const bone = boneDirection(facts, joint, child);
    const miss = bone === null ? Infinity : angleBetween(aim, bone);
    const ranked = movers.has(child) ? miss : miss + TIP_HANDICAP_DEGREES;
    if (miss < AIM_JOINT_DEGREES && ranked < least) [best, least] = [child, ranked];
  }
  return best;
}

/** A child that lies this far off the flesh of its parent does not go on from it. Degrees. */
const OFF_FLESH_DEGREES = 30;
/** The same of a tip or socket that moves no skin, such as a place for a prop. Degrees. */
const IDLE_OFF_FLESH_DEGREES = 20;
/** A frame follows the flesh when its aim axis points along it this well. Degrees. */
const ALONG_FLESH_DEGREES = 10;

/**
 * Whether a child is hung on (a prop, a lid, a jaw, a tail on a trunk): it lies 30 degrees or more off
 * the direction of the joint's own flesh (20 where it moves none itself), while the frame follows the
 * flesh. A frame that misses both is wrong. (Flesh that blends into its neighbours leans: by less, a
 * child goes on.)
 */
function hungOn(facts: Facts, joint: number, child: number | undefined): boolean {
  const axis = aimAxisOf(facts, joint);
  const bone = child === undefined ? null : boneDirection(facts, joint, child);
  if (axis === null || bone === null) return false;
  const aim = axisWorld(facts, joint, axis);
  const isIdle = skinMass(facts).movesBelow[child ?? -1] === 0;
  const off = isIdle ? IDLE_OFF_FLESH_DEGREES : OFF_FLESH_DEGREES;
  if (angleBetween(aim, bone) < off - ALONG_FLESH_DEGREES) return false;
  // A chain laid backwards aims at its parents, through its own skin: that is no joint hung on.
  const back = boneDirection(facts, joint, facts.rig.joints.parent[joint] ?? -1);
  if (back !== null && angleBetween(aim, back) <= ALONG_FLESH_DEGREES) return false;
  const skin = skinDirection(facts, joint);
  return (
    skin !== null &&
    angleBetween(aim, skin) <= ALONG_FLESH_DEGREES &&
    angleBetween(bone, skin) >= off
  );
}

/** Maximal runs of joints in which each is the aim joint of the one before; single joints too. */
export const chains = fact((facts): readonly (readonly number[])[] => {
  const next = aimJoints(facts);
  const inner = new Set(next);
  return Array.from(next.keys()).flatMap((joint) => {
    if (inner.has(joint)) return [];
    const run: number[] = [];
    for (let at = joint; at !== -1; at = next[at] ?? -1) run.push(at);
    return [run];
  });
});

/**
 * Chains cut at their branching joints, which belong to both sides. Roll and curl are judged per
 * segment, since nobody curls a collarbone, an arm and a finger as one. Carriers are left out, and
 * joints that move no skin, themselves or below, except the tip next to one that does.
 */
export const segments = fact((facts): readonly (readonly number[])[] => {
  const { movesBelow } = skinMass(facts);
  const carriers = new Set(bodyRoot(facts).carriers);
  return chains(facts).flatMap((chain) => {
    const cut: number[][] = [];
    let current: number[] = [];
    for (const joint of chain) {
      const above = current.at(-1);
      if (carriers.has(joint)) continue;
      if (movesBelow[joint] === 0 && (above === undefined || movesBelow[above] === 0)) continue;
      current.push(joint);
      if (isBranching(facts, joint) && current.length > 1) {
        cut.push(current);
        current = [joint];
      }
    }
    if (current.length > 1 || cut.length === 0) cut.push(current);
    return cut.filter((segment) => segment.length > 0);
  });
});

/**
 * Girdle joints: the first joint of a segment hung on a branching joint (collarbone, thigh), each
 * joint of a fan (metacarpals), and the branching joint that ends a segment (hand). Rigs of good
 * craft turn these differently.
 */
export const girdleJoints = fact((facts): Uint8Array => {
  const girdle = new Uint8Array(facts.rig.joints.count);
  for (const segment of segments(facts)) {
    const first = segment[0] ?? -1;
    const last = segment.at(-1) ?? -1;
    const parent = facts.rig.joints.parent[first] ?? -1;
    if (parent !== -1 && isBranching(facts, parent)) girdle[first] = 1;
    if (last !== -1 && last !== first && isBranching(facts, last)) girdle[last] = 1;
  }
  for (let joint = 0; joint < girdle.length; joint++)
    for (const child of fanOf(facts, joint)) girdle[child] = 1;
  return girdle;
});

/** The upper part of a limb is at least this long beside the longest bone of its segment. */
const UPPER_LENGTH = 0.5;

/**
 * Whether the first joint of a segment is the upper part of a limb (a thigh) rather than a girdle joint
 * (a collarbone): its own bone is about as long as the longest of its segment.
 */
export function isUpperLimb(facts: Facts, joint: number): boolean {
  return upperLimbs(facts)[joint] === 1;
}

const upperLimbs = fact((facts): Uint8Array => {
  const upper = new Uint8Array(facts.rig.joints.count);
  const lengths = boneLengths(facts);
  for (const segment of segments(facts)) {
    const [first, second] = segment;
    if (first === undefined || second === undefined) continue;
    const longest = segment
      .slice(1)
      .reduce((most, joint) => Math.max(most, lengths[joint] ?? 0), 0);
    if ((lengths[second] ?? 0) >= UPPER_LENGTH * longest) upper[first] = 1;
  }
  // Which of a fan is the longest is chance.
  for (let joint = 0; joint < upper.length; joint++)
    for (const child of fanOf(facts, joint)) upper[child] = 0;
  return upper;
});

/**
 * Child joints that lie close together around the aim axis, two or more of which move skin (a palm).
 * Which of them continues the chain is chance, and differs from left to right, so all are judged alike.
 */
export function fanOf(facts: Facts, joint: number): number[] {
  const moving = new Set(movingChildren(facts, joint));
  const near = nearAim(facts, joint).filter((child) => moving.has(child));
  return near.length >= 2 ? near : [];
}

/** No hand has more; a heap of joints must not make the spread of a fan cubic. */
const MOST_OF_FAN = 24;

/** So many children near the aim axis are a palm, even if none of them moves skin yet. */
const IDLE_FAN = 3;

/** The bones of a fan, those to idle children counted in; none where the joint has no fan. */
export function fanBones(facts: Facts, joint: number): Vec3[] {
  const near = nearAim(facts, joint);
  if (near.length < IDLE_FAN && fanOf(facts, joint).length === 0) return [];
  return near.slice(0, MOST_OF_FAN).flatMap((child) => {
    const bone = boneDirection(facts, joint, child);
    return bone === null ? [] : [bone];
  });
}

function nearAim(facts: Facts, joint: number): number[] {
  const axis = aimAxisOf(facts, joint);
  // Collarbones or thighs beside a spine are no fan.
  const children = continuing(facts, joint, facts.rig.joints.children[joint] ?? []);
  if (axis === null || children.length < 2) return [];
  const aim = axisWorld(facts, joint, axis);
  return children.filter((child) => {
    const bone = boneDirection(facts, joint, child);
    return bone !== null && angleBetween(aim, bone) < AIM_JOINT_DEGREES;
  });
}
