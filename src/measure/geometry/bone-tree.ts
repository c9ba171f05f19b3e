import { distance, scale, type Vec3 } from '../../rig/vec3.js';
import { distanceToSegment } from './segment-distance.js';

/** A bone from end to end, world space, and whose it is. */
export interface OwnedBone {
  readonly joint: number;
  readonly from: Vec3;
  readonly to: Vec3;
}

/**
 * Bones in bundles within bundles, to ask which is nearest. A bundle lies within `reach` of the
 * line between the middles of its starts and of its ends, since a point on a bone is no farther
 * from the point that is the same share along that line. (Boxes let almost all through where bones
 * spread from one joint, which each box then holds.)
 */
export interface BoneTree {
  readonly from: Vec3;
  readonly to: Vec3;
  readonly reach: number;
  /** Both halves of a bundle of many. */
  readonly halves: readonly [BoneTree, BoneTree] | null;
  /** The bones of a bundle of few. */
  readonly bones: readonly OwnedBone[];
}

/** The bone that is nearest to a point; joint -1 and Infinity for none. */
export interface NearestBone {
  readonly joint: number;
  readonly distance: number;
}

const NONE: NearestBone = { joint: -1, distance: Infinity };
const ALWAYS = (): boolean => true;
/** So few are gone through as fast as a bundle is. */
const FEW = 4;
/** Far more than rounding makes of a distance: no bone is passed over for it. Share of the numbers. */
const [ROUNDING, ROUNDING_OF_PLACES] = [1e-9, 1e-12];

/** Sorts bones into a tree: halved where they differ most, until few are left. All places have to be numbers. */
export function boneTree(bones: readonly OwnedBone[]): BoneTree {
  const bundle = bundleOf(bones);
  if (bones.length <= FEW) return { ...bundle, halves: null, bones };
  const at = widestOf(bones);
  const sorted = [...bones].sort((a, b) => at(a) - at(b));
  const half = sorted.length >> 1;
  const halves = [boneTree(sorted.slice(0, half)), boneTree(sorted.slice(half))] as const;
  return { ...bundle, halves, bones: [] };
}

/**
 * The bone nearest to a point and nearer than `best`; of several as near that of the first joint.
 *
 * @param counts Whether the bone of a joint counts; asked only of one that would be the nearest.
 */
export function nearestBone(
  tree: BoneTree,
  point: Vec3,
  best: NearestBone = NONE,
  counts: (joint: number) => boolean = ALWAYS,
): NearestBone {
  let found = best;
  if (tree.halves === null) {
    for (const { joint, from, to } of tree.bones) {
      const gap = distanceToSegment(point, from, to);
      const isFirst = gap === found.distance && joint < found.joint;
      if ((gap < found.distance || isFirst) && counts(joint)) found = { joint, distance: gap };
    }
    return found;
  }
  const [a, b] = tree.halves;
  const [toA, toB] = [atLeast(a, point), atLeast(b, point)];
  const [first, second] = toB < toA ? [b, a] : [a, b];
  if (Math.min(toA, toB) <= found.distance) found = nearestBone(first, point, found, counts);
  return Math.max(toA, toB) <= found.distance ? nearestBone(second, point, found, counts) : found;
}

/** Whether any bone is no farther from a point than `limit`. */
export function isBoneWithin(tree: BoneTree, point: Vec3, limit: number): boolean {
  if (atLeast(tree, point) > limit) return false;
  if (tree.halves !== null) return tree.halves.some((half) => isBoneWithin(half, point, limit));
  return tree.bones.some(({ from, to }) => distanceToSegment(point, from, to) <= limit);
}

/** No bone of a bundle is nearer than this. */
function atLeast({ from, to, reach }: BoneTree, point: Vec3): number {
  return distanceToSegment(point, from, to) * (1 - ROUNDING) - reach;
}

function bundleOf(bones: readonly OwnedBone[]): Pick<BoneTree, 'from' | 'to' | 'reach'> {
  const [from, to] = [middleOf(bones, 'from'), middleOf(bones, 'to')];
  let [reach, farthest] = [0, 0];
  for (const bone of bones) {
    reach = Math.max(reach, distance(bone.from, from), distance(bone.to, to));
    for (const [x, y, z] of [bone.from, bone.to])
      farthest = Math.max(farthest, Math.abs(x), Math.abs(y), Math.abs(z));
  }
  return { from, to, reach: reach * (1 + ROUNDING) + farthest * ROUNDING_OF_PLACES };
}

/** Plain sums: lists of thousands of bones are halved again and again. */
function middleOf(bones: readonly OwnedBone[], end: 'from' | 'to'): Vec3 {
  let [x, y, z] = [0, 0, 0];
  for (const { [end]: place } of bones) {
    x += place[0];
    y += place[1];
    z += place[2];
  }
  return scale([x, y, z], 1 / Math.max(1, bones.length));
}

/** The coordinate, of a start or an end, in which bones differ most. */
function widestOf(bones: readonly OwnedBone[]): (bone: OwnedBone) => number {
  let [widest, most] = [(bone: OwnedBone): number => bone.to[0], -1];
  for (const end of ['from', 'to'] as const)
    for (const axis of [0, 1, 2] as const) {
      const at = (bone: OwnedBone): number => bone[end][axis];
      let [low, high] = [Infinity, -Infinity];
      for (const bone of bones) {
        low = Math.min(low, at(bone));
        high = Math.max(high, at(bone));
      }
      if (high - low > most) [widest, most] = [at, high - low];
    }
  return widest;
}
