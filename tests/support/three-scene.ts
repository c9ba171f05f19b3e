import { type AnimationClip, type Object3D, SkinnedMesh } from 'three';
import { GLTFLoader } from 'three/examples/jsm/loaders/GLTFLoader.js';
import { vi } from 'vitest';
import { glb } from '../../fixtures/kit/containers.js';
import { splitGlb } from '../fixtures/read-back.js';

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

/**
 * Loads a GLB with three.js, world matrices made. Materials and textures are taken out first: they
 * need a browser and move nothing. The weights stay as stored: the loader's own scaling of each
 * vertex's weights to a sum of 1 is held off, because the faults under test are in those sums.
 */
export async function loadInThree(bytes: Uint8Array): Promise<LoadedScene> {
  const plain = withoutLooks(bytes);
  const copy = new ArrayBuffer(plain.length);
  new Uint8Array(copy).set(plain);
  const held = vi.spyOn(SkinnedMesh.prototype, 'normalizeSkinWeights').mockReturnValue(undefined);
  try {
    const { scene, animations, parser } = await new GLTFLoader().parseAsync(copy, '');
    scene.updateMatrixWorld(true);
    const nodes = new Map<number, Object3D>();
    const meshes: LoadedMesh[] = [];
    scene.traverse((object) => {
      const found = parser.associations.get(object);
      if (found?.nodes !== undefined) nodes.set(found.nodes, object);
      if (object instanceof SkinnedMesh) {
        meshes.push({ object, mesh: found?.meshes ?? 0, primitive: found?.primitives ?? 0 });
      }
    });
    return { nodes, meshes, clips: animations };
  } finally {
    held.mockRestore();
  }
}

function withoutLooks(bytes: Uint8Array): Uint8Array {
  const { json, binary } = splitGlb(bytes);
  const kept: Record<string, unknown> = { ...json };
  for (const field of ['materials', 'textures', 'images', 'samplers']) delete kept[field];
  kept.meshes = json.meshes?.map((mesh) => ({
    ...mesh,
    primitives: mesh.primitives.map((primitive) => ({ ...primitive, material: undefined })),
  }));
  return glb(JSON.stringify(kept), binary);
}
