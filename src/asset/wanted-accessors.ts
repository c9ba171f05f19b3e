import type { GltfDocument, GltfPrimitive } from './gltf-types.js';

/** A primitive that a skin moves, with the accessors that are read of it. */
export interface WantedPrimitive {
  readonly mesh: number;
  readonly primitive: number;
  readonly source: GltfPrimitive;
}

/** What is read of an asset: never a texture, never a normal, never a mesh without a skin. */
export interface Wanted {
  readonly accessors: readonly number[];
  readonly primitives: readonly WantedPrimitive[];
}

const NEEDED_ATTRIBUTE = /^(POSITION|JOINTS_\d+|WEIGHTS_\d+)$/;

/**
 * Chooses the accessors that the rig needs: skinned geometry, inverse binds and clips. (Leaving the
 * rotations of clips out where no rule asks for them saved a thirtieth of the reading, and let keys that
 * are no numbers pass.)
 */
export function wantedAccessors(document: GltfDocument): Wanted {
  const accessors = new Set<number>();
  const primitives: WantedPrimitive[] = [];
  const skinnedMeshes = new Set<number>();
  for (const node of document.nodes) {
    if (node.skin !== null && node.mesh !== null) skinnedMeshes.add(node.mesh);
  }
  for (const mesh of [...skinnedMeshes].sort((a, b) => a - b)) {
    document.meshes[mesh]?.primitives.forEach((source, primitive) => {
      primitives.push({ mesh, primitive, source });
      for (const [name, index] of Object.entries(source.attributes)) {
        if (NEEDED_ATTRIBUTE.test(name)) accessors.add(index);
      }
      if (source.indices !== null) accessors.add(source.indices);
    });
  }
  for (const skin of document.skins) {
    if (skin.inverseBindMatrices !== null) accessors.add(skin.inverseBindMatrices);
  }
  if (document.skins.length > 0) {
    for (const animation of document.animations) {
      for (const channel of animation.channels) {
        accessors.add(channel.input).add(channel.output);
      }
    }
  }
  return { accessors: [...accessors].sort((a, b) => a - b), primitives };
}

/** Accessors that a Draco-compressed primitive fills. */
export function dracoAccessors(wanted: Wanted): Set<number> {
  const filled = new Set<number>();
  for (const { source } of wanted.primitives) {
    if (source.draco === null) continue;
    for (const accessor of Object.values(source.attributes)) filled.add(accessor);
    if (source.indices !== null) filled.add(source.indices);
  }
  return filled;
}
