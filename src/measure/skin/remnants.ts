import { invert, mat4At, origin } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';

/** What `remnantsOf` is told of each joint's weights. */
export interface WeightsOfJoints {
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

/** Whether all that a joint moves is small and little: what may have been left on it by accident. */
export function isSmallShare(mass: number, topWeight: number, total: number): boolean {
  return topWeight <= MOST_WEIGHT && mass < MOST_SHARE * total;
}

/** Weights below this show nowhere, whatever the joint does. */
export const LEAST_REMNANT = 0.01;
/** What hangs below a ground root has this many times the skin that was left on it. */
const MORE_BELOW = 10;
/** A control stands off the vertices it pulls by this share of their mesh. */
const AWAY_SHARE = 0.05;

/**
 * Joints that hold only small weights left on them: a share under 0.5 % and none above 0.7, on a joint
 * above the body (nothing above it moves skin, and far more hangs below it), or on one that nothing
 * hangs on and that stands off its own vertices. They are carriers and controls, and move no skin.
 */
export function remnantsOf(rig: Rig, weights: WeightsOfJoints): number[] {
  const { ofJoint, total, topWeight, moves } = weights;
  const { parent, count } = rig.joints;
  if (!(total > 0)) return [];
  const below = new Float64Array(count);
  const movesBelow = new Uint8Array(count);
  for (let joint = count - 1; joint >= 0; joint--) {
    const above = parent[joint] ?? -1;
    if (above === -1) continue;
    below[above] = (below[above] ?? 0) + (below[joint] ?? 0) + (ofJoint[joint] ?? 0);
    if (moves[joint] === 1 || movesBelow[joint] === 1) movesBelow[above] = 1;
  }
  const small = (joint: number): boolean =>
    (topWeight[joint] ?? 0) >= LEAST_REMNANT &&
    isSmallShare(ofJoint[joint] ?? 0, topWeight[joint] ?? 0, total);
  const extents = rig.skins.map((_, skin) =>
    extent(weights.boxBySlot.filter((_, index) => rig.parts[index]?.skin === skin)),
  );
  const list: number[] = [];
  // 1 where a joint or one above it truly moves skin. Parents stand before their children.
  const under = new Uint8Array(count);
  for (let joint = 0; joint < count; joint++) {
    const above = parent[joint] ?? -1;
    const first = above === -1 || under[above] === 0;
    const left =
      small(joint) &&
      ((first && (below[joint] ?? 0) > MORE_BELOW * (ofJoint[joint] ?? 0)) ||
        (movesBelow[joint] === 0 && standsAway(rig, weights, extents, joint)));
    if (left) list.push(joint);
    under[joint] = !first || (moves[joint] === 1 && !left) ? 1 : 0;
  }
  return list;
}

/** Whether a joint stands off all vertices it moves, in every part, as its skin was bound. */
function standsAway(
  rig: Rig,
  { boxBySlot }: WeightsOfJoints,
  extents: readonly number[],
  joint: number,
): boolean {
  let looked = 0;
  const near = rig.parts.some((part, index) => {
    const skin = rig.skins[part.skin];
    const slot = skin?.slotOfJoint[joint] ?? -1;
    const boxes = boxBySlot[index];
    if (skin === undefined || slot === -1 || boxes === undefined) return false;
    const box = boxes.subarray(6 * slot, 6 * slot + 6);
    if (!((box[0] ?? 0) <= (box[3] ?? -1))) return false;
    const built = invert(mat4At(skin.inverseBind, slot));
    if (built === null) return true;
    looked++;
    return gap(origin(built), box) <= AWAY_SHARE * (extents[part.skin] ?? 0);
  });
  return looked > 0 && !near;
}

/** Distance from a point to a box, 0 within it. */
function gap(point: readonly number[], box: Float64Array): number {
  const off = [0, 1, 2].map((axis) => {
    const value = point[axis] ?? 0;
    return Math.max((box[axis] ?? 0) - value, value - (box[axis + 3] ?? 0), 0);
  });
  return Math.hypot(...off);
}

/** Diagonal of the box around all boxes of some parts in one space: primitives can share vertices or part them. */
function extent(parts: readonly Float64Array[]): number {
  const least = [Infinity, Infinity, Infinity];
  const most = [-Infinity, -Infinity, -Infinity];
  for (const boxes of parts) {
    for (let at = 0; at < boxes.length; at += 6) {
      for (let axis = 0; axis < 3; axis++) {
        least[axis] = Math.min(least[axis] ?? 0, boxes[at + axis] ?? 0);
        most[axis] = Math.max(most[axis] ?? 0, boxes[at + axis + 3] ?? 0);
      }
    }
  }
  return Math.hypot(...most.map((value, axis) => value - (least[axis] ?? 0)));
}
