import type { Decoded } from '../asset/decode.js';
import type { GltfDocument } from '../asset/gltf-types.js';
import { invert, mat4At, origin } from './mat4.js';
import type { Vec3 } from './vec3.js';

/**
 * A function that tells where some nodes stand in the bind pose, in one frame for all of them: that of
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
  const slotsOf = (): Map<number, number>[] => {
    slots ??= skins.map(({ joints }) => new Map(joints.map((node, slot) => [node, slot])));
    return slots;
  };
  const inSkin = (skin: number, group: readonly number[]): Vec3[] | null => {
    const { inverseBindMatrices = null } = skins[skin] ?? {};
    const array = inverseBindMatrices === null ? null : decoded.get(inverseBindMatrices)?.array;
    if (array == null) return null;
    const places: Vec3[] = [];
    for (const node of group) {
      const slot = slotsOf()[skin]?.get(node);
      if (slot === undefined || 16 * slot + 16 > array.length) return null;
      const built = invert(Float64Array.from(array.subarray(16 * slot, 16 * slot + 16)));
      if (built === null) return null;
      places.push(origin(built));
    }
    return places;
  };
  return (group) => {
    const first = group[0] ?? -1;
    const listing = skins
      .flatMap((_, skin) => (slotsOf()[skin]?.has(first) === true ? [skin] : []))
      .sort((a, b) => (skins[b]?.joints.length ?? 0) - (skins[a]?.joints.length ?? 0));
    for (const skin of listing) {
      const places = inSkin(skin, group);
      if (places !== null) return places;
    }
    return group.map((node) => (node < nodes.length ? origin(mat4At(world, node)) : [0, 0, 0]));
  };
}
