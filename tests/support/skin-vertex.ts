import type { Rig, SkinnedPart } from '../../src/rig/types.js';

/**
 * Where one vertex stands at rest: the sum over its influences of w_j W_j B_j p (glTF 2.0, 3.7.3
 * Skins), written out from the stored matrices and sharing no code with the measures.
 */
export function skinVertex(rig: Rig, part: SkinnedPart, vertex: number): number[] {
  const out = [0, 0, 0];
  for (let k = part.influences * vertex; k < part.influences * (vertex + 1); k++) {
    const weight = part.weights[k] ?? 0;
    if (weight === 0) continue;
    const slot = part.slots[k] ?? 0;
    const joint = rig.skins[part.skin]?.jointOfSlot[slot] ?? -1;
    const node = rig.joints.node[joint] ?? -1;
    if (node === -1) throw new Error(`vertex ${vertex} hangs on slot ${slot}, which is no joint`);
    const bound = apply(rig.skins[part.skin]?.inverseBind ?? [], slot, [
      ...part.positions.subarray(3 * vertex, 3 * vertex + 3),
      1,
    ]);
    const placed = apply(rig.nodes.world, node, bound);
    for (let axis = 0; axis < 3; axis++)
      out[axis] = (out[axis] ?? 0) + weight * (placed[axis] ?? 0);
  }
  return out;
}

/** Matrix `index` of a packed list, column-major, times a column of four numbers. */
function apply(matrices: ArrayLike<number>, index: number, column: readonly number[]): number[] {
  return [0, 1, 2, 3].map((row) =>
    column.reduce((sum, value, at) => sum + (matrices[16 * index + 4 * at + row] ?? 0) * value, 0),
  );
}
