import { branchOf } from '../../rig/tree.js';
import { angleBetween, distance } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bonePose } from '../pose/bone-pose.js';
import { edgesBetween, flesh } from '../skin/flesh.js';
import { rigidJoints } from '../skin/rigid-skin.js';
import { skinDirection } from '../skin/skin-centre.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot, movingChildren } from './body-root.js';
import { boneDirection } from './bones.js';
import { pairs } from './pairs.js';

/** The way over a joint between is at most this many times the straight one. Thighs: 1.1 to 1.35. */
const DETOUR = 1.4;
/** A shorter bone leads nowhere: helpers lie at the joint they help. Share of size. */
const REAL_SHARE = 0.01;
/** The flesh of a limb lies along its bone, within so many degrees; a helper's is all around it. */
const ALONG_DEGREES = 45;
/** The joint between has this share of the edges that do not lead on: lips adjoin many joints. */
const MOST_EDGES = 0.9;
/** A piece of mesh of its own begins as near its parent as this. Share of size. */
const NEAR_SHARE = 0.1;
/** Limbs of one joint lead so many degrees apart at least; twist joints of one lie in a row. */
const APART_DEGREES = 20;
/** Two limbs, and a joint that is hung flat. */
const LEAST_CHILDREN = 3;

/**
 * The joint that each joint hung flat should hang on, -1 for none: a shin hung on the hips beside
 * its thigh, the second joint of a finger on the hand beside the first.
 *
 * Only below a joint that carries two limbs or more: an upper arm rightly carries twist joints
 * beside the forearm, and their flesh is all that the forearm's adjoins.
 */
export const flatParents = fact((facts): Int32Array => {
  const { joints } = facts.rig;
  const right = new Int32Array(joints.count).fill(-1);
  if (!skinMass(facts).hasMesh) return right;
  for (let parent = 0; parent < joints.count; parent++) {
    const children = movingChildren(facts, parent);
    if (children.length < LEAST_CHILDREN || !hasSoftFlesh(facts, parent)) continue;
    const flat = flatChildren(facts, parent, children);
    if (flat.size > 0 && hasTwoLimbs(facts, parent, children, flat))
      for (const [joint, between] of flat) right[joint] = between;
  }
  return right;
});

/** Rigid pieces are hung as a machine needs it, whatever they touch. */
function hasSoftFlesh(facts: Facts, joint: number): boolean {
  const isSoft = skinMass(facts).moves[joint] === 1 && rigidJoints(facts)[joint] === 0;
  return isSoft && (flesh(facts).own[joint] ?? 0) > 0;
}

/** 1 for a joint and all below it, and for trees beside its own: the thigh may hang on nothing. */
function belowOrLoose(facts: Facts, joint: number): Uint8Array {
  const { parent } = facts.rig.joints;
  const around = branchOf(facts.rig.joints, joint);
  if (bodyRoot(facts).tops.length === 1) return around;
  let top = joint;
  while ((parent[top] ?? -1) !== -1) top = parent[top] ?? -1;
  const own = branchOf(facts.rig.joints, top);
  return around.map((mark, other) => (mark === 1 || own[other] === 0 ? 1 : 0));
}

/** Children that skip a joint between, each with that one. */
function flatChildren(
  facts: Facts,
  parent: number,
  children: readonly number[],
): ReadonlyMap<number, number> {
  const skipping = new Map<number, number>();
  const around = belowOrLoose(facts, parent);
  // What lies between is nearer, and judged by then.
  const near = [...children].sort((a, b) => apart(facts, parent, a) - apart(facts, parent, b));
  for (const joint of near) {
    const between = skipped(facts, parent, joint, around);
    if (between === -1) continue;
    if (skipping.has(between) || leadsTo(facts, parent, between)) skipping.set(joint, between);
  }
  const continued = new Set(skipping.values());
  return new Map(
    [...skipping].filter(([joint, between]) => {
      const goesOn = continued.has(joint) || movingChildren(facts, joint).length > 0;
      return goesOn || skipping.has(between) || arePaired(facts, joint, between);
    }),
  );
}

/** In a face lips at the sides hang beside a jaw in the middle, and are no limb that goes on. */
function arePaired(facts: Facts, a: number, b: number): boolean {
  const { partner } = pairs(facts);
  return [a, b].every((joint) => (partner[joint] ?? -1) !== -1);
}

/** The joint in `around` (see `belowOrLoose`) that the flesh of a child leads to; -1 for none. */
function skipped(facts: Facts, parent: number, joint: number, around: Uint8Array): number {
  const others = [...(flesh(facts).beside[joint] ?? [])];
  const isBetween = ([other]: readonly [number, number]): boolean =>
    around[other] === 1 && isOnTheWay(facts, parent, other, joint);
  // Most adjoin their parent, or nothing on the way: then their branch need not be gathered.
  if (others.some(([other]) => other === parent) || !others.some(isBetween)) return -1;
  const branch = branchOf(facts.rig.joints, joint);
  if (edgesBetween(facts, branch, parent) > 0) return -1;
  const back = others.filter(
    ([other]) => branch[other] === 0 && !isOnTheWay(facts, parent, joint, other),
  );
  const all = back.reduce((sum, [, edges]) => sum + edges, 0);
  const most = back.find(([, edges]) => edges >= MOST_EDGES * all);
  if (most === undefined || !isBetween(most)) return -1;
  const [between] = most;
  const least = REAL_SHARE * size(facts);
  const isReal = apart(facts, parent, between) > least && apart(facts, between, joint) > least;
  const areSoft = hasSoftFlesh(facts, joint) && hasSoftFlesh(facts, between);
  return isReal && areSoft && liesAlong(facts, between, joint) ? between : -1;
}

/** Whether the flesh of a joint lies along the bone to another. */
function liesAlong(facts: Facts, joint: number, other: number): boolean {
  const [bone, skin] = [boneDirection(facts, joint, other), skinDirection(facts, joint)];
  return bone !== null && skin !== null && angleBetween(bone, skin) <= ALONG_DEGREES;
}

/** Whether the flesh of a joint adjoins that of what it hangs on, or begins near it. */
function leadsTo(facts: Facts, parent: number, joint: number): boolean {
  const others = [...(flesh(facts).beside[joint] ?? []).keys()];
  const hung = facts.rig.joints.parent[joint] ?? -1;
  const above = hung === -1 ? parent : hung;
  if (others.includes(above)) return true;
  const isNear = above === parent && apart(facts, parent, joint) <= NEAR_SHARE * size(facts);
  return isNear && others.every((other) => isOnTheWay(facts, parent, joint, other));
}

/** Whether two limbs or more lead away from a joint, once what hangs flat on it is hung right. */
function hasTwoLimbs(
  facts: Facts,
  parent: number,
  children: readonly number[],
  flat: ReadonlyMap<number, number>,
): boolean {
  const continued = new Set(flat.values());
  const loose = [...continued].filter((joint) => facts.rig.joints.parent[joint] === -1);
  const [first = null, ...others] = [...children, ...loose]
    .filter((child) => !flat.has(child))
    .filter((child) => continued.has(child) || movingChildren(facts, child).length > 0)
    .map((limb) => boneDirection(facts, parent, limb));
  return others.some(
    (bone) => first !== null && bone !== null && angleBetween(first, bone) >= APART_DEGREES,
  );
}

/** Whether a joint comes before another, and the way over it is hardly longer. */
function isOnTheWay(facts: Facts, from: number, between: number, to: number): boolean {
  const [first, all] = [apart(facts, from, between), apart(facts, from, to)];
  return first < all && first + apart(facts, between, to) <= DETOUR * all;
}

function apart(facts: Facts, a: number, b: number): number {
  const { places } = bonePose(facts);
  return distance(places[a] ?? [0, 0, 0], places[b] ?? [0, 0, 0]);
}
