import { branchOf, sumsBelow } from '../../rig/tree.js';
import { type Facts, fact } from '../facts.js';
import { flesh } from '../skin/flesh.js';
import { rigidJoints } from '../skin/rigid-skin.js';
import { skinMass } from '../skin/skin-mass.js';
import { pairs } from './pairs.js';

/** Where the body begins. Joint indices; -1 for none. */
export interface BodyRoot {
  /** In tree order. */
  readonly tops: readonly number[];
  /** The topmost joint with most skin mass below it. */
  readonly main: number;
  /** The hips of the asset's humanoid mapping where they fit, else `first`. */
  readonly joint: number;
  /** Whether `joint` is what the mapping calls the hips. */
  readonly mapped: boolean;
  /** The first joint from `main` down that moves skin or splits the skin-moving tree. */
  readonly first: number;
  /** Unweighted joints above both, from above to below. */
  readonly carriers: readonly number[];
  /** Skin mass at and below each joint. */
  readonly massBelow: Float64Array;
}

/**
 * Goes down from the main topmost joint past the carriers: unweighted joints exactly one of whose
 * child joints moves skin, itself or below, but for pairs that hang beside the body (a ground root
 * with two loose feet). A vertex or two left on a ground root by accident do not make it the body.
 *
 * Mapped hips are the body root when they are one of the joints passed, or lie below the last with
 * nearly all of the skin: with a hand mapped as the hips, root rules would skip most of the rig.
 */
export const bodyRoot = fact((facts): BodyRoot => {
  const { joints } = facts.rig;
  const { ofJoint, moves, hasMesh } = skinMass(facts);
  const massBelow = sumsBelow(joints, ofJoint);
  const tops = [...joints.parent.keys()].filter((joint) => joints.parent[joint] === -1);
  const descendants = sumsBelow(joints, new Float64Array(joints.count).fill(1));
  let main = tops[0] ?? -1;
  for (const top of tops) {
    const more = (massBelow[top] ?? 0) - (massBelow[main] ?? 0);
    if (more > 0 || (more === 0 && (descendants[top] ?? 0) > (descendants[main] ?? 0))) main = top;
  }
  const passed: number[] = [];
  let first = main;
  while (first !== -1) {
    const idle = hasMesh
      ? moves[first] === 0 || holdsByAccident(facts, first) || holdsProp(facts, first, massBelow)
      : isMeshlessCarrier(facts, first, passed.length);
    const next = idle ? onlyBody(facts, first, massBelow) : -1;
    if (next === -1) break;
    passed.push(first);
    first = next;
  }
  const hips = facts.rig.humanoid?.joints.get('hips') ?? -1;
  const place = [...passed, first].indexOf(hips);
  const isPassed = hips !== -1 && place !== -1;
  const holdsBody = (massBelow[hips] ?? 0) > BODY_SHARE * (massBelow[first] ?? 0);
  const mapped = isPassed || (holdsBody && branchOf(joints, first)[hips] === 1);
  const carriers = isPassed ? passed.slice(0, place) : passed;
  return { tops, main, joint: mapped ? hips : first, mapped, first, carriers, massBelow };
});

/** A child joint with over this share of the skin below is the body. */
const BODY_SHARE = 0.8;

/** The only child joint that moves skin, or the body beside which only pairs hang (loose feet); else -1. */
function onlyBody(facts: Facts, joint: number, massBelow: Float64Array): number {
  const below = movingChildren(facts, joint);
  if (below.length === 1) return below[0] ?? -1;
  const total = below.reduce((sum, child) => sum + (massBelow[child] ?? 0), 0);
  const { partner } = pairs(facts);
  const [body = -1, ...others] = below.filter((child) => {
    const twin = partner[child] ?? -1;
    return twin === -1 || facts.rig.joints.parent[twin] !== joint;
  });
  return others.length === 0 && (massBelow[body] ?? 0) > BODY_SHARE * total ? body : -1;
}

/** Without a mesh so many joints in a row are taken for carriers at most: a longer run is a trunk. */
const MOST_MESHLESS_CARRIERS = 2;

/** One child joint, and a tree that branches farther down, which a tail or a rope does not. */
function isMeshlessCarrier({ rig }: Facts, joint: number, passed: number): boolean {
  const { children } = rig.joints;
  if (passed >= MOST_MESHLESS_CARRIERS || children[joint]?.length !== 1) return false;
  let next = [joint];
  while (next.length === 1)
    next = (children[next[0] ?? -1] ?? []).filter((child) => (children[child] ?? []).length > 0);
  return next.length > 1;
}

/** A joint with less than this share of the next one's skin holds it by accident. */
const STRAY_SHARE = 0.05;
/** A prop on a ground root has less than this share of the skin at and below it. */
const PROP_SHARE = 0.2;
/** Of what is below it at least this share of the skin blends: a body, not a machine of hard pieces. */
const BODY_BLENDS = 0.5;

/** Whether all that a joint moves are hard pieces of their own beside a body: a tool on the ground root. */
function holdsProp(facts: Facts, joint: number, massBelow: Float64Array): boolean {
  const { ofJoint } = skinMass(facts);
  const total = massBelow[joint] ?? 0;
  const rigid = rigidJoints(facts);
  if ((ofJoint[joint] ?? 0) >= PROP_SHARE * total || rigid[joint] === 0) return false;
  const hard = ofJoint.reduce((sum, mass, other) => sum + (rigid[other] === 1 ? mass : 0), 0);
  if (total - hard < BODY_BLENDS * total) return false;
  return (flesh(facts).beside[joint]?.size ?? 0) === 0;
}

/** Whether a joint holds next to nothing beside the skin-holding joint below it. */
function holdsByAccident(facts: Facts, joint: number): boolean {
  const { ofJoint, moves } = skinMass(facts);
  let next = movingChildren(facts, joint)[0] ?? -1;
  while (moves[next] === 0) next = movingChildren(facts, next)[0] ?? -1;
  return (ofJoint[joint] ?? 0) < STRAY_SHARE * (ofJoint[next] ?? 0);
}

/** Child joints that move skin, themselves or below. */
export function movingChildren(facts: Facts, joint: number): readonly number[] {
  return movingChildrenOfAll(facts)[joint] ?? [];
}

/** Taken once for all joints: each child of a joint asks for it. */
const movingChildrenOfAll = fact((facts): readonly (readonly number[])[] => {
  const { movesBelow } = skinMass(facts);
  return facts.rig.joints.children.map((below) => below.filter((child) => movesBelow[child] === 1));
});

/** Two or more child joints that move skin, themselves or below. */
export function isBranching(facts: Facts, joint: number): boolean {
  return movingChildren(facts, joint).length >= 2;
}
