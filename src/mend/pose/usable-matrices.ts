import type { Facts } from '../../measure/facts.js';
import { affineRow, builtMatrices } from '../../measure/pose/bind-pose.js';
import { identity, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { RigSkin } from '../../rig/types.js';

/** An inverse bind matrix for a slot whose own cannot be used. */
export interface UsableMatrix {
  readonly slot: number;
  readonly joint: number;
  readonly matrix: Mat4;
  /** Whether all but the last row is the file's own; else it binds the joint where it is stored. */
  readonly isOwn: boolean;
}

/**
 * Matrices for the slots of a skin that have none that can be used, missing ones included. One whose last row
 * alone is wrong keeps its other rows. Any other binds its joint where it is stored: it is then carried along
 * with the skin as a joint above it is, else the first of the skin that is sound, else not at all. Null for a
 * joint that stands in a frame without an inverse.
 */
export function usableMatrices(
  facts: Facts,
  skin: RigSkin,
  place: number,
): (UsableMatrix | null)[] {
  const built = builtMatrices(facts)[place] ?? [];
  const given = skin.matrixCount ?? skin.jointOfSlot.length;
  const isUsable = (slot: number): boolean => built[slot] != null && slot < given;
  return Array.from(skin.jointOfSlot).flatMap((joint, slot): (UsableMatrix | null)[] => {
    if (isUsable(slot)) return [];
    const own = slot < given ? withLastRow(mat4At(skin.inverseBind, slot)) : null;
    if (own !== null) return [{ slot, joint, matrix: own, isOwn: true }];
    const { nodes, joints } = facts.rig;
    const back = invert(mat4At(nodes.world, joints.node[joint] ?? 0));
    if (back === null) return [null];
    let above = joints.parent[joint] ?? -1;
    while (above !== -1 && !isUsable(skin.slotOfJoint[above] ?? -1))
      above = joints.parent[above] ?? -1;
    const like = above === -1 ? skin.jointOfSlot.findIndex((_, at) => isUsable(at)) : -1;
    const from = like === -1 ? above : (skin.jointOfSlot[like] ?? -1);
    const matrix = from === -1 ? back : multiply(back, skinning(facts, skin, from));
    return [{ slot, joint, matrix, isOwn: false }];
  });
}

/** The same matrix with the last row that glTF 2.0 (3.7.3.1) asks for; null where it then has no inverse. */
function withLastRow(matrix: Mat4): Mat4 | null {
  if (!matrix.every(Number.isFinite) || affineRow(matrix)) return null;
  const mended = Float64Array.from(matrix);
  for (const at of [3, 7, 11, 15]) mended[at] = at === 15 ? 1 : 0;
  return invert(mended) === null ? null : mended;
}

function skinning({ rig }: Facts, skin: RigSkin, joint: number): Mat4 {
  const slot = skin.slotOfJoint[joint] ?? -1;
  const world = mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0);
  return slot === -1 ? identity() : multiply(world, mat4At(skin.inverseBind, slot));
}
