import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { pairs } from '../../measure/skeleton/pairs.js';
import { visible } from '../../report/visible.js';
import type { NodeTable } from '../../rig/types.js';
import { resample } from '../reframe/apply.js';
import { carryOut } from '../reframe/carry-out.js';
import { Ground } from '../reframe/ground.js';
import { planReframing } from '../reframe/plan.js';
import type { Resampling } from '../reframe/poser.js';
import type { Reframing } from '../reframe/reframing.js';
import type { Change, LeftAlone, MendContext, Mended } from '../repair.js';
import { keepSkeletons } from './keep-skeletons.js';
import { skinNoise } from './skin-noise.js';

/** A joint of a rig that is to hang on another. */
export interface Hung {
  readonly facts: Facts;
  readonly joint: number;
  readonly home: number;
}

export interface Hanging extends Hung {
  readonly change: Change;
}

/**
 * Hangs joints on others, each in its place in every pose: where clips move one against the other, new
 * curves follow the old motion. What cannot be hung there is left, with why, and keeps no other from it but
 * its partner: a pair that hangs in two ways is worse than one that hangs wrong.
 */
export function hangJoints(context: MendContext, wanted: readonly Hanging[]): Mended {
  const ground = new Ground(context);
  const left: LeftAlone[] = [];
  /** Those that nothing is in the way of; the others are left. */
  const sift = (some: readonly Hanging[], whyNot: (one: Hanging) => string | null): Hanging[] =>
    some.filter((one) => {
      const why = whyNot(one);
      const { rule, place } = one.change;
      if (why !== null) left.push({ rule, place, why });
      return why === null;
    });
  const paired = (some: readonly Hanging[]): Hanging[] =>
    sift(some, (one) => whyNotAlone(one, wanted, some));
  const parents = new Map<number, number>();
  const able = paired(
    sift(wanted, (one) => {
      const [node, parent] = nodesOf(one);
      if (isBelow(ground.nodes, parents, parent, node)) return CIRCLE;
      const plan = planReframing(ground, hung([one]), new Set([node]), 1);
      if ('obstacles' in plan) return plan.obstacles[0].why;
      parents.set(node, parent);
      return null;
    }),
  );
  const carry = (some: readonly Hanging[]): Mended => {
    const changes = some.map(({ change }): Change => change);
    return carryOut(ground, hung(some), { changes, left: [] }, curvesFor(some));
  };
  let carried = carry(able);
  // Not every motion can be followed. Which cannot is only asked then: it takes as long as following all.
  if (carried.changes.length === 0 && able.length > 1)
    carried = carry(paired(sift(able, (one) => whyNotHung(ground, one))));
  if (carried.changes.length > 0) keepSkeletons(context.edit.json);
  return { changes: carried.changes, left: [...left, ...carried.left] };
}

/** Why a joint cannot be hung on another, be it that a clip cannot be followed; null where it can. */
export function whyNotHung(ground: Ground, one: Hung): string | null {
  const [node] = nodesOf(one);
  const plan = planReframing(ground, hung([one]), new Set([node]), 1);
  if ('obstacles' in plan) return plan.obstacles[0].why;
  const curves = resample(ground, plan, curvesFor([one]));
  return 'why' in curves ? curves.why : null;
}

const CIRCLE =
  'the joint that it should hang on would hang on it by then; hang one of the two where you made the rig';

/** Why a joint is not hung where its partner cannot be; null where both can, or it is hung by itself. */
function whyNotAlone(
  { facts, joint }: Hung,
  wanted: readonly Hung[],
  able: readonly Hung[],
): string | null {
  const partner = pairs(facts).partner[joint] ?? -1;
  const isPartner = (other: Hung): boolean => other.facts === facts && other.joint === partner;
  if (!wanted.some(isPartner) || able.some(isPartner)) return null;
  const name = visible(facts.rig.joints.names[partner] ?? '');
  return `left and right are hung together, and "${name}" cannot be hung`;
}

/** As nodes: the joint, and what it is to hang on. */
function nodesOf({ facts, joint, home }: Hung): readonly [node: number, parent: number] {
  const { node } = facts.rig.joints;
  return [node[joint] ?? -1, node[home] ?? -1];
}

function hung(some: readonly Hung[]): Reframing {
  return { frames: new Map(), parents: new Map(some.map(nodesOf)) };
}

function curvesFor(some: readonly Hung[]): Resampling {
  const noise = new Map(
    some.map((one) => [nodesOf(one)[0], skinNoise(one.facts, one.joint)] as const),
  );
  return {
    size: some.reduce((most, { facts }) => Math.max(most, size(facts)), 0),
    isNearest: false,
    noiseOf: (node) => noise.get(node) ?? 0,
  };
}

/** Whether a node is another or hangs on it, once some have other parents. */
function isBelow(
  { parent }: NodeTable,
  parents: ReadonlyMap<number, number>,
  node: number,
  top: number,
): boolean {
  for (let at = node; at !== -1; at = parents.get(at) ?? parent[at] ?? -1)
    if (at === top) return true;
  return false;
}
