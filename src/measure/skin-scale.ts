import { determinant3, invert, mat4At, multiply } from '../rig/mat4.js';
import type { Rig } from '../rig/types.js';

/**
 * For each skin of a rig, by how much its stored pose scales areas of the mesh: |det M|^(2/3) of
 * M = W B at the joint that moves most of it. Skins of one rig can be stored in different units, since
 * quantising bakes a scale of each mesh into its matrices; skins whose matrices tell nothing have 1.
 *
 * @param massBySlot Per part and slot: area moved, in the mesh's own unit.
 */
export function areaScales(rig: Rig, massBySlot: readonly Float64Array[]): number[] {
  return rig.skins.map(({ jointOfSlot, inverseBind }, place) => {
    const total = new Float64Array(jointOfSlot.length);
    rig.parts.forEach((part, index) => {
      if (part.skin !== place) return;
      massBySlot[index]?.forEach((mass, slot) => {
        total[slot] = (total[slot] ?? 0) + mass;
      });
    });
    const slot = total.indexOf(Math.max(...total));
    const node = rig.joints.node[jointOfSlot[slot] ?? -1];
    if (node === undefined || invert(mat4At(inverseBind, slot)) === null) return 1;
    const skinning = multiply(mat4At(rig.nodes.world, node), mat4At(inverseBind, slot));
    const scale = Math.cbrt(Math.abs(determinant3(skinning))) ** 2;
    return Number.isFinite(scale) && scale > 0 ? scale : 1;
  });
}
