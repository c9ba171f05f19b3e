import { type AnimationClip, type Object3D, SkinnedMesh } from 'three';
import { loadPlain } from './three-plain.js';

/** One skinned primitive as three.js loaded it, and where it stands in the file. */
export interface LoadedMesh {
  readonly object: SkinnedMesh;
  readonly mesh: number;
  readonly primitive: number;
}

/** An asset as three.js loads it, its objects found again by their indices in the file. */
export interface LoadedScene {
  readonly nodes: ReadonlyMap<number, Object3D>;
  readonly meshes: readonly LoadedMesh[];
  readonly clips: readonly AnimationClip[];
}

/** Loads the skins of a GLB with three.js, as `loadPlain` does. */
export async function loadInThree(bytes: Uint8Array): Promise<LoadedScene> {
  const { nodes, meshes, clips } = await loadPlain(bytes);
  const skinned = meshes.flatMap(({ object, mesh, primitive }) =>
    object instanceof SkinnedMesh ? [{ object, mesh, primitive }] : [],
  );
  return { nodes, meshes: skinned, clips };
}
