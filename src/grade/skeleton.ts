import { hashBytes } from '../asset/hash-file.js';
import type { RigReport } from '../report/report-types.js';
import { QUARTER_TURNS } from '../rig/quarter-turns.js';
import { distance, type Vec3 } from '../rig/vec3.js';

/** What of a rig stays the same when names, units, axes or the order of nodes change. */
export interface Skeleton {
  /** Digest of the joint tree without names or order: equal for equal trees. */
  readonly tree: string;
  /** Bind places from the centre of all joints, in sizes of the rig. */
  readonly places: readonly Vec3[];
  /** Share of the rig's skin on each joint. */
  readonly shares: readonly number[];
  readonly children: readonly (readonly number[])[];
  readonly tops: readonly number[];
  /** Distances from the centre, and shares, each in order of size: equal for equal skeletons. */
  readonly distances: readonly number[];
  readonly sortedShares: readonly number[];
}

/** Fewer joints than this are alike in any two rigs. */
const LEAST_JOINTS = 3;
/** More than any class hands in; what is larger is not compared. */
const MOST_JOINTS = 4096;

/** The skeleton of a rig; null where it is no evidence: too few joints, or no skin on any. */
export function skeletonOf({ joints, size }: RigReport): Skeleton | null {
  const shares = joints.map(({ skinShare }) => skinShare);
  if (joints.length < LEAST_JOINTS || joints.length > MOST_JOINTS) return null;
  if (!shares.some((share) => share > 0) || !(size > 0)) return null;
  const [x = 0, y = 0, z = 0] = [0, 1, 2].map(
    (axis) => joints.reduce((sum, { place }) => sum + (place[axis] ?? 0), 0) / joints.length,
  );
  const places = joints.map(
    ({ place }): Vec3 => [(place[0] - x) / size, (place[1] - y) / size, (place[2] - z) / size],
  );
  const tops: number[] = [];
  const children = joints.map((): number[] => []);
  for (const [joint, { parent }] of joints.entries()) (children[parent] ?? tops).push(joint);
  return {
    tree: treeDigest(children, tops),
    places,
    shares,
    children,
    tops,
    distances: places.map((place) => Math.hypot(...place)).sort((a, b) => a - b),
    sortedShares: [...shares].sort((a, b) => a - b),
  };
}

/** Each joint's digest is of its children's, sorted, so that their order does not matter. */
function treeDigest(children: readonly (readonly number[])[], tops: readonly number[]): string {
  const digests: string[] = [];
  const join = (joints: readonly number[]): string => {
    const below = joints.map((joint) => digests[joint] ?? '').sort();
    return hashBytes(Buffer.from(`(${below.join(' ')})`));
  };
  // Parents come before their children.
  for (let joint = children.length - 1; joint >= 0; joint--)
    digests[joint] = join(children[joint] ?? []);
  return join(tops);
}

/** How far apart two places may be, in sizes of the rig, and two shares of skin. */
const ROUNDING = 1e-4;
/** Steps a joint that a comparison takes at most; far more than joints lying on each other need. */
const MOST_STEPS = 1000;

/**
 * Whether two skeletons have the same joint tree, bind places and shares of skin to rounding, in any
 * order of siblings and turned by any quarter turns.
 */
export function sameSkeleton(a: Skeleton, b: Skeleton): boolean {
  if (a.tree !== b.tree) return false;
  if (!close(a.distances, b.distances) || !close(a.sortedShares, b.sortedShares)) return false;
  return QUARTER_TURNS.some((turn) => liesOn(a, b, b.places.map(turn)));
}

function close(a: readonly number[], b: readonly number[]): boolean {
  return (
    a.length === b.length && a.every((value, at) => Math.abs(value - (b[at] ?? 0)) <= ROUNDING)
  );
}

/** Whether the joints of `a` can be laid on those of `b`, at the places that these were turned to. */
function liesOn(a: Skeleton, b: Skeleton, turned: readonly Vec3[]): boolean {
  let left = MOST_STEPS * a.places.length;
  const alike = (joint: number, other: number): boolean => {
    const [place, there] = [a.places[joint], turned[other]];
    if (place === undefined || there === undefined) return false;
    const share = Math.abs((a.shares[joint] ?? 0) - (b.shares[other] ?? 0));
    if (!(distance(place, there) <= ROUNDING && share <= ROUNDING)) return false;
    return laid(a.children[joint] ?? [], b.children[other] ?? []);
  };
  /** Whether each sibling can be laid on another one of the others. */
  const laid = (siblings: readonly number[], others: readonly number[]): boolean => {
    const free = new Set(others);
    const findsOne = (joint: number): boolean => {
      for (const other of free) {
        if (left-- <= 0) return false;
        if (alike(joint, other)) return free.delete(other);
      }
      return false;
    };
    return siblings.length === others.length && siblings.every(findsOne);
  };
  return laid(a.tops, b.tops);
}
