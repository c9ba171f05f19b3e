import { createHash } from 'node:crypto';
import type { RigReport } from '../report/report-types.js';
import type { Vec3 } from '../rig/vec3.js';

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
  const skinned = joints.some(({ skinShare }) => skinShare > 0);
  if (joints.length < LEAST_JOINTS || joints.length > MOST_JOINTS) return null;
  if (!skinned || !(size > 0)) return null;
  const middle = [0, 1, 2].map(
    (axis) => joints.reduce((sum, { place }) => sum + (place[axis] ?? 0), 0) / joints.length,
  );
  const [x = 0, y = 0, z = 0] = middle;
  const places = joints.map(
    ({ place }): Vec3 => [(place[0] - x) / size, (place[1] - y) / size, (place[2] - z) / size],
  );
  const shares = joints.map(({ skinShare }) => skinShare);
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
    return createHash('sha256')
      .update(`(${below.join(' ')})`)
      .digest('hex');
  };
  // Parents stand before their children.
  for (let joint = children.length - 1; joint >= 0; joint--)
    digests[joint] = join(children[joint] ?? []);
  return join(tops);
}
