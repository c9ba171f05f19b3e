import { groupBy } from '../../rig/group-by.js';
import { determinant3, invert, mat4At, multiply } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';

/** Masses nearer than this are as good as alike: rounding must not choose. */
const ALIKE = 1 + 1e-3;

/**
 * The slot whose joint moves most; of those as good as alike the first in tree order, wherever the
 * skin lists them; -1 for none. Slots with a mass below 0 are left out.
 */
export function heaviestSlot(massOf: Float64Array, jointOfSlot: Int32Array): number {
  const most = massOf.reduce((a, b) => Math.max(a, b), -1);
  let best = -1;
  massOf.forEach((mass, slot) => {
    if (mass < 0 || mass * ALIKE < most) return;
    if (best === -1 || (jointOfSlot[slot] ?? 0) < (jointOfSlot[best] ?? 0)) best = slot;
  });
  return best;
}

/**
 * For each skin of a rig, the factor by which its stored pose scales areas of the mesh: |det
 * M|^(2/3) of M = W B at the joint that moves most of it. Skins of one rig can be stored in
 * different units, since quantising bakes a scale of each mesh into its matrices; skins without a
 * usable matrix have 1. `massBySlot` has, per part and slot, the area moved, in the mesh's unit.
 */
export function areaScales(rig: Rig, massBySlot: readonly Float64Array[]): number[] {
  const partsOf = groupBy(massBySlot.keys(), (index) => rig.parts[index]?.skin);
  return rig.skins.map(({ jointOfSlot, inverseBind }, place) => {
    const total = new Float64Array(jointOfSlot.length);
    for (const index of partsOf.get(place) ?? [])
      massBySlot[index]?.forEach((mass, slot) => {
        total[slot] = (total[slot] ?? 0) + mass;
      });
    const slot = heaviestSlot(total, jointOfSlot);
    const node = rig.joints.node[jointOfSlot[slot] ?? -1];
    if (node === undefined || invert(mat4At(inverseBind, slot)) === null) return 1;
    const skinning = multiply(mat4At(rig.nodes.world, node), mat4At(inverseBind, slot));
    const scale = Math.cbrt(Math.abs(determinant3(skinning))) ** 2;
    return Number.isFinite(scale) && scale > 0 ? scale : 1;
  });
}
