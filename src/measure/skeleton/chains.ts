import { angleBetween, type Vec3 } from '../../rig/vec3.js';
import { type Axis, type Facts, fact, opposite } from '../facts.js';
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
  const axis = aim[pairs(facts).side[joint] ?? 'middle'];
  return limbSign[joint] === -1 ? opposite(axis) : axis;
}

/** World directions of a joint's aim and up axis. Null when the rig has none. */
export function aimAndUp(facts: Facts, joint: number): { aim: Vec3; up: Vec3 } | null {
  const [aim, { up }] = [aimAxisOf(facts, joint), conventions(facts)];
  if (aim === null || up === null) return null;
  return { aim: axisWorld(facts, joint, aim), up: axisWorld(facts, joint, up) };
}

/**
 * The aim joint of each joint, -1 for none: its only child joint; with several, the one whose
 * direction is nearest to the aim axis, if within 30 degrees; and where none is, the only one of
 * them that moves skin, which the frame then misses. A child that is hung on (a jaw) is none.
 */
export const aimJoints = fact((facts): Int32Array => {
  return Int32Array.from(facts.rig.joints.children, (children, joint) => {
    const able = continuing(facts, joint);
    const nearest = children.length > 1 ? nearestToAim(facts, joint) : -1;
    if (nearest !== -1) return nearest;
    const [only = -1, ...others] = children.length > 1 ? movingChildren(facts, joint) : able;
    return others.length > 0 || !able.includes(only) || isHungOn(facts, joint, only) ? -1 : only;
  });
});

/** The child joints, without left and right children of a joint in the middle (thighs, ears). */
function continuing(facts: Facts, joint: number): readonly number[] {
  const { partner } = pairs(facts);
  const { parent, children } = facts.rig.joints;
  return (children[joint] ?? []).filter((child) => {
    const twin = partner[child] ?? -1;
    return partner[joint] !== -1 || twin === -1 || parent[twin] !== joint;
  });
}

/** A tip or socket must be nearer to the aim axis by this than what moves skin. Degrees. */
const TIP_HANDICAP_DEGREES = 10;

function nearestToAim(facts: Facts, joint: number): number {
  const { movesBelow } = skinMass(facts);
  let [best, least] = [-1, Infinity];
  for (const { child, miss } of nearAim(facts, joint)) {
    const rank = movesBelow[child] === 1 ? miss : miss + TIP_HANDICAP_DEGREES;
    if (rank < least) [best, least] = [child, rank];
  }
  return best;
}

/** Children that may continue a joint, near its aim axis, and by how many degrees bones miss it. */
function nearAim(facts: Facts, joint: number): { child: number; bone: Vec3; miss: number }[] {
  const axes = aimAndUp(facts, joint);
  if (axes === null) return [];
  return continuing(facts, joint).flatMap((child) => {
    const bone = boneDirection(facts, joint, child);
    const miss = bone === null ? Infinity : angleBetween(axes.aim, bone);
    return bone !== null && miss < AIM_JOINT_DEGREES ? [{ child, bone, miss }] : [];
  });
}

/** A child that lies this far off the flesh of its parent does not continue it. Degrees. */
const OFF_FLESH_DEGREES = 30;
/** The same of a tip or socket that moves no skin, such as a place for a prop. Degrees. */
const IDLE_OFF_FLESH_DEGREES = 20;
/** A frame follows the flesh when its aim axis points along it this well. Degrees. */
const ALONG_FLESH_DEGREES = 10;

/**
 * Whether a child is hung on (a prop, a lid, a jaw, a tail on a trunk): it lies far off the joint's
 * flesh, which the frame follows. A frame that misses both is wrong. Flesh that blends into its
 * neighbours leans a little.
 */
function isHungOn(facts: Facts, joint: number, child: number): boolean {
  const aim = aimAndUp(facts, joint)?.aim;
  const bone = boneDirection(facts, joint, child);
  if (aim === undefined || bone === null) return false;
  const isIdle = skinMass(facts).movesBelow[child] === 0;
  const off = isIdle ? IDLE_OFF_FLESH_DEGREES : OFF_FLESH_DEGREES;
  if (angleBetween(aim, bone) < off - ALONG_FLESH_DEGREES) return false;
  // A chain laid backwards aims at its parents, through its skin: that is no joint hung on.
  const back = boneDirection(facts, joint, facts.rig.joints.parent[joint] ?? -1);
  if (back !== null && angleBetween(aim, back) <= ALONG_FLESH_DEGREES) return false;
  const skin = skinDirection(facts, joint);
  if (skin === null || angleBetween(aim, skin) > ALONG_FLESH_DEGREES) return false;
  return angleBetween(bone, skin) >= off;
}

/**
 * Chains, in which each joint is the aim joint of the one before, cut at branching joints, which
 * belong to both sides: nobody curls a collarbone, an arm and a finger as one. Carriers are left
 * out, and joints that move no skin, themselves or below, except the tip next to one that does.
 */
export const segments = fact((facts): readonly (readonly number[])[] => {
  const { movesBelow } = skinMass(facts);
  const carriers = new Set(bodyRoot(facts).carriers);
  const next = aimJoints(facts);
  const inner = new Set(next);
  return Array.from(next.keys()).flatMap((start) => {
    if (inner.has(start)) return [];
    const cut: number[][] = [];
    let current: number[] = [];
    for (let joint = start; joint !== -1; joint = next[joint] ?? -1) {
      const above = current.at(-1);
      if (carriers.has(joint)) continue;
      if (movesBelow[joint] === 0 && (above === undefined || movesBelow[above] === 0)) continue;
      current.push(joint);
      if (isBranching(facts, joint) && current.length > 1) {
        cut.push(current);
        current = [joint];
      }
    }
    if (current.length > (cut.length === 0 ? 0 : 1)) cut.push(current);
    return cut;
  });
});

/**
 * 1 for the first joint of a segment hung on a branching joint (collarbone, thigh), each joint of a
 * fan (metacarpals), and the branching joint that ends a segment (hand). Good rigs differ in these.
 */
export const girdleJoints = fact((facts): Uint8Array => {
  const girdle = inFans(facts).slice();
  for (const segment of segments(facts)) {
    const [first, last] = [segment[0] ?? -1, segment.at(-1) ?? -1];
    if (isBranching(facts, facts.rig.joints.parent[first] ?? -1)) girdle[first] = 1;
    if (last !== first && isBranching(facts, last)) girdle[last] = 1;
  }
  return girdle;
});

/** The upper part of a limb is at least this long beside the longest bone of its segment. */
const UPPER_LENGTH = 0.5;

/**
 * 1 for the first joint of a segment that is the upper part of a limb (a thigh) and no collarbone:
 * its bone is about as long as the longest of the segment.
 */
export const upperLimbs = fact((facts): Uint8Array => {
  const upper = new Uint8Array(facts.rig.joints.count);
  for (const [first, ...others] of segments(facts)) {
    const [bone, ...bones] = others.map((joint) => boneLengths(facts)[joint] ?? 0);
    // Which of a fan is the longest is chance.
    if (first === undefined || bone === undefined || inFans(facts)[first] === 1) continue;
    if (bone >= UPPER_LENGTH * bones.reduce((a, b) => Math.max(a, b), bone)) upper[first] = 1;
  }
  return upper;
});

/**
 * 1 for each joint of a fan: child joints that move skin close together around the aim axis, two or
 * more (a palm). Which one continues the chain is chance, and differs from left to right, so all
 * are judged alike.
 */
export const inFans = fact((facts): Uint8Array => {
  const { movesBelow } = skinMass(facts);
  const marks = new Uint8Array(facts.rig.joints.count);
  for (let joint = 0; joint < marks.length; joint++) {
    if (isSingle(facts, joint)) continue;
    const near = nearAim(facts, joint).filter(({ child }) => movesBelow[child] === 1);
    if (near.length >= 2) for (const { child } of near) marks[child] = 1;
  }
  return marks;
});

/** One child alone is no fan, and most joints have one. */
function isSingle({ rig }: Facts, joint: number): boolean {
  return (rig.joints.children[joint] ?? []).length < 2;
}

/** No hand has more; a heap of joints must not make the spread of a fan cubic. */
const MOST_OF_FAN = 24;
/** So many children near the aim axis are a palm, even if none of them moves skin yet. */
const IDLE_FAN = 3;

/** The bones of a fan, those to idle children counted in; none where the joint has no fan. */
export function fanBones(facts: Facts, joint: number): Vec3[] {
  if (isSingle(facts, joint)) return [];
  const near = nearAim(facts, joint);
  const isFan = near.length >= IDLE_FAN || near.some(({ child }) => inFans(facts)[child] === 1);
  return isFan ? near.slice(0, MOST_OF_FAN).map(({ bone }) => bone) : [];
}
