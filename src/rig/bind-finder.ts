import type { Decoded } from '../asset/decode.js';
import type { GltfDocument } from '../asset/gltf-types.js';
import { invert, mat4At, origin } from './mat4.js';
import type { Vec3 } from './vec3.js';

/**
 * A function that finds the places of some nodes in the bind pose, in one frame for all of them: that of
 * the largest skin that binds them all, else the world at rest.
 *
 * @param world World matrices at rest, 16 numbers a node.
 */
export function bindFinder(
  { nodes, skins }: GltfDocument,
  decoded: Decoded,
  world: Float64Array,
): (group: readonly number[]) => Vec3[] {
  let slots: Map<number, number>[] | null = null;
  const slotOf = (skin: number, node: number): number | undefined => {
    slots ??= skins.map(({ joints }) => new Map(joints.map((joint, slot) => [joint, slot])));
    return slots[skin]?.get(node);
  };
  const placesInSkin = (skin: number, group: readonly number[]): Vec3[] | null => {
    const { inverseBindMatrices = null } = skins[skin] ?? {};
    const array = inverseBindMatrices === null ? null : decoded.get(inverseBindMatrices)?.array;
    if (array == null) return null;
    const places: Vec3[] = [];
    for (const node of group) {
      const slot = slotOf(skin, node);
      if (slot === undefined || 16 * slot + 16 > array.length) return null;
      const bind = invert(Float64Array.from(array.subarray(16 * slot, 16 * slot + 16)));
      if (bind === null) return null;
      places.push(origin(bind));
    }
    return places;
  };
  return (group) => {
    const first = group[0] ?? -1;
    const listing = skins
      .flatMap((_, skin) => (slotOf(skin, first) === undefined ? [] : [skin]))
      .sort((a, b) => (skins[b]?.joints.length ?? 0) - (skins[a]?.joints.length ?? 0));
    for (const skin of listing) {
      const places = placesInSkin(skin, group);
      if (places !== null) return places;
    }
    return group.map((node) => (node < nodes.length ? origin(mat4At(world, node)) : [0, 0, 0]));
  };
}
