import { type Box, boxAround, boxAt, diagonal } from '../../rig/box.js';
import { invert, mat4At, origin } from '../../rig/mat4.js';
import { spreadUp, sumsBelow } from '../../rig/tree.js';
import type { Rig } from '../../rig/types.js';
import type { Vec3 } from '../../rig/vec3.js';

/** What `remnantsOf` needs of each joint's weights. */
interface WeightsOfJoints {
  /** Skin mass of each joint, and largest weight of each on any vertex. */
  readonly ofJoint: Float64Array;
  readonly total: number;
  readonly topWeight: Float64Array;
  /** 1 where a joint has more than the floor of what moves skin. */
  readonly moves: Uint8Array;
  /** Per part and slot: a box around the vertices moved, in the frame of the mesh. */
  readonly boxBySlot: readonly Float64Array[];
}

/** A joint with more of the rig's skin than this was given it on purpose. Share. */
const MOST_SHARE = 0.005;
/** So was one that any vertex follows by more than this. Weight. */
const MOST_WEIGHT = 0.7;

/** Whether all that a joint moves is so little that it may have been left by accident. */
export function isSmallShare(mass: number, topWeight: number, total: number): boolean {
  return topWeight <= MOST_WEIGHT && mass < MOST_SHARE * total;
}

/** Smaller weights cannot be seen in any pose. */
export const LEAST_REMNANT = 0.01;
/** What hangs below a ground root has over this many times the skin that was left on it. */
const MORE_BELOW = 10;
/** A control is off the vertices it pulls by this share of their mesh. */
const AWAY_SHARE = 0.05;

/**
 * Joints with only small weights left on them: a share under 0.5 % and none above 0.7, on a joint
 * above the body (nothing above it moves skin, and far more hangs below it), or on one that nothing
 * hangs on and that is off its own vertices. They are carriers and controls, and move no skin.
 */
export function remnantsOf(rig: Rig, weights: WeightsOfJoints): number[] {
  const { ofJoint, total, topWeight, moves } = weights;
  const { parent, children, count } = rig.joints;
  if (!(total > 0)) return [];
  const branchMass = sumsBelow(rig.joints, ofJoint);
  const branchMoves = spreadUp(rig.joints, moves);
  const small = (joint: number): boolean =>
    (topWeight[joint] ?? 0) >= LEAST_REMNANT &&
    isSmallShare(ofJoint[joint] ?? 0, topWeight[joint] ?? 0, total);
  // Around all parts of a skin: primitives can share vertices or divide them.
  const extents = rig.skins.map((_, skin) => {
    const parts = weights.boxBySlot.filter((_, index) => rig.parts[index]?.skin === skin);
    return diagonal(boxAround(parts.flatMap(ends)));
  });
  const list: number[] = [];
  // 1 where a joint or one above it truly moves skin. Parents come before their children.
  const under = new Uint8Array(count);
  for (let joint = 0; joint < count; joint++) {
    const above = parent[joint] ?? -1;
    const first = above === -1 || under[above] === 0;
    const isTip = children[joint]?.every((child) => branchMoves[child] === 0) !== false;
    const isAbove = first && (branchMass[joint] ?? 0) > (1 + MORE_BELOW) * (ofJoint[joint] ?? 0);
    const isLeft = small(joint) && (isAbove || (isTip && isOff(rig, weights, extents, joint)));
    if (isLeft) list.push(joint);
    under[joint] = !first || (moves[joint] === 1 && !isLeft) ? 1 : 0;
  }
  return list;
}

/** Whether a joint is off all vertices it moves, in every part, as its skin was bound. */
function isOff(
  rig: Rig,
  { boxBySlot }: WeightsOfJoints,
  extents: readonly number[],
  joint: number,
): boolean {
  let looked = 0;
  const isNear = rig.parts.some((part, index) => {
    const skin = rig.skins[part.skin];
    const slot = skin?.slotOfJoint[joint] ?? -1;
    const box = slot === -1 ? null : boxAt(boxBySlot[index], slot);
    if (skin === undefined || box === null) return false;
    const built = invert(mat4At(skin.inverseBind, slot));
    if (built === null) return true;
    looked++;
    return gap(origin(built), box) <= AWAY_SHARE * (extents[part.skin] ?? 0);
  });
  return looked > 0 && !isNear;
}

/** Distance from a point to a box, 0 within it. */
function gap([x, y, z]: Vec3, { min: [x0, y0, z0], max: [x1, y1, z1] }: Box): number {
  const outside = (at: number, least: number, most: number): number =>
    Math.max(least - at, at - most, 0);
  return Math.hypot(outside(x, x0, x1), outside(y, y0, y1), outside(z, z0, z1));
}

/** Both ends of the boxes of a part. */
function ends(boxes: Float64Array): Vec3[] {
  return Array.from({ length: boxes.length / 6 }, (_, slot) => boxAt(boxes, slot)).flatMap((box) =>
    box === null ? [] : [box.min, box.max],
  );
}
