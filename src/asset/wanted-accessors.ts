import type { GltfDocument, GltfPrimitive } from './gltf-types.js';

/** What is read of an asset: never a texture, never a normal, never a mesh without a skin. */
export interface Wanted {
  readonly accessors: readonly number[];
  /** Those that a skin moves. */
  readonly primitives: readonly {
    readonly mesh: number;
    readonly primitive: number;
    readonly source: GltfPrimitive;
  }[];
}

const NEEDED_ATTRIBUTE = /^(POSITION|JOINTS_\d+|WEIGHTS_\d+)$/;

/**
 * Chooses the accessors that the rig needs: skinned geometry, inverse binds and clips. (Leaving the
 * rotations of clips out where no rule asks for them saved a thirtieth of the reading, and let keys that
 * are no numbers pass.)
 */
export function wantedAccessors(document: GltfDocument): Wanted {
  const { nodes, meshes, skins, animations } = document;
  const skinned = nodes.flatMap(({ skin, mesh }) => (skin === null ? [] : (mesh ?? [])));
  const primitives = [...new Set(skinned)]
    .sort((a, b) => a - b)
    .flatMap((mesh) =>
      (meshes[mesh]?.primitives ?? []).map((source, primitive) => ({ mesh, primitive, source })),
    );
  const accessors = new Set<number>();
  for (const { source } of primitives) {
    for (const [name, index] of Object.entries(source.attributes))
      if (NEEDED_ATTRIBUTE.test(name)) accessors.add(index);
    if (source.indices !== null) accessors.add(source.indices);
  }
  for (const { inverseBindMatrices } of skins)
    if (inverseBindMatrices !== null) accessors.add(inverseBindMatrices);
  if (skins.length > 0)
    for (const { input, output } of animations.flatMap(({ channels }) => channels))
      accessors.add(input).add(output);
  return { accessors: [...accessors].sort((a, b) => a - b), primitives };
}

/** Accessors that a Draco-compressed primitive fills. */
export function dracoAccessors(wanted: Wanted): Set<number> {
  const compressed = wanted.primitives.filter(({ source }) => source.draco !== null);
  return new Set(
    compressed.flatMap(({ source: { attributes, indices } }) =>
      Object.values(attributes).concat(indices ?? []),
    ),
  );
}
