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
  const runs = new Set<readonly number[]>();
  const seen = new Set<number>();
  for (let joint = 0; joint < rig.joints.count; joint++) {
    const run = rig.joints.spacers[joint] ?? [];
    for (const spacer of runs.has(run) ? [] : run) {
      if (!seen.has(spacer)) list.push(scaleOf(rig, spacer, 'spacer', -1));
      seen.add(spacer);
    }
    runs.add(run);
    list.push(scaleOf(rig, rig.joints.node[joint] ?? 0, 'joint', joint));
  }
  return list;
});

function scaleOf(rig: Rig, node: number, role: LocalScale['role'], joint: number): LocalScale {
  const factors = vec3At(rig.nodes.scale, node);
  const [sx, sy, sz] = factors;
  const most = Math.max(Math.abs(sx), Math.abs(sy), Math.abs(sz));
  const least = Math.min(Math.abs(sx), Math.abs(sy), Math.abs(sz));
  return {
    node,
    role,
    joint,
    factors,
    uneven: most === 0 ? 0 : least === 0 ? Infinity : 100 * (most / least - 1),
    mean: meanFactor(factors),
    // The split of a matrix keeps its sign in the factors.
    mirrors: sx * sy * sz < 0,
    ownSkew: skew(mat4At(rig.nodes.local, node)),
  };
}

/** A skewed stretch of the hierarchy. */
export interface Shear {
  /** The node whose unequal scale (or skewed matrix) causes it. */
  readonly cause: number;
  /** The joint whose world axes are skewed most. */
  readonly joint: number;
  /** Largest cosine between two world axes of the joints below, 0 to 1. */
  readonly skew: number;
  /** Joints skewed by the same cause. */
  readonly joints: readonly number[];
}

/** Skew smaller than this is rounding, not skew: float32 matrices of deep chains reach it. */
const ROUNDING = 1e-5;

/** Limits beyond which a stored scale or matrix counts as the cause of skew. Percent. */
export interface ShearLimits {
  /** Largest over smallest scale factor, less 1. */
  readonly uneven: number;
  /** Cosine between two axes. */
  readonly skew: number;
}

/** Joints whose world axes are not square to each other, with the largest cosine between two of them. */
const skewedJoints = fact(({ rig }): readonly Pick<Shear, 'joint' | 'skew'>[] => {
  const all = Array.from(rig.joints.node, (node, joint) => {
    return { joint, skew: skew(mat4At(rig.nodes.world, node)) };
  });
  return all.filter((item) => item.skew > ROUNDING);
});

/**
 * Skewed joints, gathered by the node that causes it: the topmost node above with a scale that is
 * unequal by more than the limit, or with a skewed matrix of its own.
 */
export function shears(facts: Facts, limits: ShearLimits): readonly Shear[] {
  const { rig } = facts;
  const causes = new Map(
    localScales(facts)
      .filter((item) => item.uneven > limits.uneven || 100 * item.ownSkew > limits.skew)
      .map((item) => [item.node, item] as const),
  );
  const byCause = groupBy(skewedJoints(facts), ({ joint }) =>
    causeOf(rig, rig.joints.node[joint] ?? 0, causes, limits),
  );
  return [...byCause].map(([cause, list]) => {
    const worst = list.reduce((a, b) => (b.skew > a.skew ? b : a));
    return { cause, ...worst, joints: list.map(({ joint }) => joint) };
  });
}

/** The topmost cause counts: unequal scales below a skewed frame add to it but did not begin it. */
function causeOf(
  rig: Rig,
  node: number,
  causes: ReadonlyMap<number, LocalScale>,
  limits: ShearLimits,
): number {
  let found = node;
  for (let at = node; at !== -1; at = rig.nodes.parent[at] ?? -1) {
    const item = causes.get(at);
    // Its own unequal scale squashes a joint, but does not skew it.
    if (item !== undefined && (at !== node || 100 * item.ownSkew > limits.skew)) found = at;
  }
  return found;
}
