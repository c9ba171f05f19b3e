import { meanFactor, skew } from '../../rig/decompose.js';
import { groupBy } from '../../rig/group-by.js';
import { mat4At } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import { type Vec3, vec3At } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';

/** The scale stored on one node of a rig. */
export interface LocalScale {
  readonly node: number;
  readonly role: 'joint' | 'spacer' | 'holder';
  /** Joint index, -1 for spacers and holders. */
  readonly joint: number;
  /** Signed factors along X, Y, Z. */
  readonly factors: Vec3;
  /** Largest factor over smallest, less 1, in percent; Infinity when one is 0. */
  readonly uneven: number;
  /** Geometric mean of the magnitudes. */
  readonly mean: number;
  readonly mirrors: boolean;
  /** Skew of the node's own local matrix: the largest cosine between two axes. */
  readonly ownSkew: number;
}

/** Scales of all joints, spacers and holders of a rig: holders first, then in joint order. */
export const localScales = fact(({ rig }): readonly LocalScale[] => {
  const list = rig.holders.map((node) => scaleOf(rig, node, 'holder', -1));
  // Many joints can share one run of spacers, and runs can share spacers.
  const seen = new Set<number | readonly number[]>();
  rig.joints.node.forEach((node, joint) => {
    const run = rig.joints.spacers[joint] ?? [];
    for (const spacer of seen.has(run) ? [] : run) {
      if (!seen.has(spacer)) list.push(scaleOf(rig, spacer, 'spacer', -1));
      seen.add(spacer);
    }
    seen.add(run);
    list.push(scaleOf(rig, node, 'joint', joint));
  });
  return list;
});

function scaleOf(rig: Rig, node: number, role: LocalScale['role'], joint: number): LocalScale {
  const factors = vec3At(rig.nodes.scale, node);
  const sizes = factors.map(Math.abs);
  const [least, most] = [Math.min(...sizes), Math.max(...sizes)];
  return {
    node,
    role,
    joint,
    factors,
    uneven: most === 0 ? 0 : least === 0 ? Infinity : 100 * (most / least - 1),
    mean: meanFactor(factors),
    // The split of a matrix keeps its sign in the factors.
    mirrors: factors.reduce((product, factor) => product * factor) < 0,
    ownSkew: skew(mat4At(rig.nodes.local, node)),
  };
}

/** Joints that one node skews. */
interface Shear {
  /** The node whose unequal scale (or skewed matrix) causes it. */
  readonly cause: number;
  /** The joint whose world axes are skewed most. */
  readonly joint: number;
  /** Largest cosine between two world axes of the joints below, 0 to 1. */
  readonly skew: number;
  /** Joints skewed by the same cause. */
  readonly joints: readonly number[];
}

/** A smaller skew is rounding: float32 matrices of deep chains reach it. */
const ROUNDING = 1e-5;

/** Joints whose world axes are not square, with the largest cosine between two of them. */
const skewedJoints = fact(({ rig }): readonly Pick<Shear, 'joint' | 'skew'>[] => {
  const all = Array.from(rig.joints.node, (node, joint) => ({
    joint,
    skew: skew(mat4At(rig.nodes.world, node)),
  }));
  return all.filter((measured) => measured.skew > ROUNDING);
});

/**
 * Skewed joints by the node that causes it: the topmost one above with an unequal scale or a skewed
 * matrix of its own. Unequal scales below a skewed frame add to the skew but did not begin it.
 *
 * @param limits Beyond these a node is a cause: largest over smallest scale factor, less 1, and
 * cosine between two axes. Percent.
 */
export function shears(
  facts: Facts,
  limits: { readonly uneven: number; readonly skew: number },
): readonly Shear[] {
  const { nodes, joints } = facts.rig;
  const nodesOf = (isCause: (scale: LocalScale) => boolean): Set<number> =>
    new Set(localScales(facts).flatMap((scale) => (isCause(scale) ? scale.node : [])));
  const skewed = nodesOf(({ ownSkew }) => 100 * ownSkew > limits.skew);
  const uneven = nodesOf((scale) => scale.uneven > limits.uneven);
  const causeOf = (joint: number): number => {
    const node = joints.node[joint] ?? 0;
    let found = node;
    // Its own unequal scale squashes a joint, but does not skew it.
    for (let at = node; at !== -1; at = nodes.parent[at] ?? -1)
      if (skewed.has(at) || (at !== node && uneven.has(at))) found = at;
    return found;
  };
  const byCause = groupBy(skewedJoints(facts), ({ joint }) => causeOf(joint));
  return [...byCause].map(([cause, list]) => {
    const worst = list.reduce((a, b) => (b.skew > a.skew ? b : a));
    return { cause, ...worst, joints: list.map(({ joint }) => joint) };
  });
}
