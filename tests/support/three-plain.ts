import { type AnimationClip, type Group, Mesh, type Object3D, SkinnedMesh } from 'three';
import { MeshoptDecoder } from 'three/examples/jsm/libs/meshopt_decoder.module.js';
import { type GLTF, GLTFLoader } from 'three/examples/jsm/loaders/GLTFLoader.js';
import { glb } from '../../fixtures/kit/containers.js';
import { splitGlb } from '../fixtures/read-back.js';
import { plainDracoLoader } from './three-draco.js';

/** One primitive as three.js loaded it, and where it stands in the file. */
export interface PlainMesh {
  readonly object: Mesh;
  readonly mesh: number;
  readonly primitive: number;
  /** Index of the node that shows it. */
  readonly node: number;
}

export interface PlainScene {
  readonly top: Group;
  readonly nodes: ReadonlyMap<number, Object3D>;
  readonly meshes: readonly PlainMesh[];
  readonly clips: readonly AnimationClip[];
}

/**
 * Loads a GLB with three.js, world matrices made. Materials and textures are taken out first: they need a
 * browser and move nothing. The weights stay as stored: the loader's own scaling of each vertex's weights to
 * a sum of 1 is held off, because the faults under test are in those sums. Load one at a time.
 *
 * @param unpacks Whether the loader is given what it needs for packed data.
 */
export async function loadPlain(bytes: Uint8Array, { unpacks = false } = {}): Promise<PlainScene> {
  const plain = withoutLooks(bytes);
  const copy = new ArrayBuffer(plain.length);
  new Uint8Array(copy).set(plain);
  const loader = new GLTFLoader();
  if (unpacks) loader.setMeshoptDecoder(MeshoptDecoder);
  if (unpacks && Buffer.from(plain).includes('KHR_draco_mesh_compression'))
    loader.setDRACOLoader(await plainDracoLoader());
  const held = SkinnedMesh.prototype.normalizeSkinWeights;
  SkinnedMesh.prototype.normalizeSkinWeights = () => undefined;
  let loaded: GLTF;
  try {
    loaded = await loader.parseAsync(copy, '');
  } finally {
    SkinnedMesh.prototype.normalizeSkinWeights = held;
  }
  const { scene, animations, parser } = loaded;
  scene.updateMatrixWorld(true);
  const nodes = new Map<number, Object3D>();
  const meshes: PlainMesh[] = [];
  scene.traverse((object) => {
    const found = parser.associations.get(object);
    if (found?.nodes !== undefined) nodes.set(found.nodes, object);
    if (!(object instanceof Mesh)) return;
    // The primitives of a mesh of several hang below an object that stands for the node.
    const above = object.parent === null ? undefined : parser.associations.get(object.parent);
    const node = found?.nodes ?? above?.nodes ?? -1;
    meshes.push({ object, mesh: found?.meshes ?? 0, primitive: found?.primitives ?? 0, node });
  });
  return { top: scene, nodes, meshes, clips: animations };
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
