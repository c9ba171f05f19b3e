import {
  type Bone,
  BufferAttribute,
  BufferGeometry,
  DetachedBindMode,
  Matrix4,
  Skeleton,
  SkinnedMesh,
} from 'three';
import type { PageMesh, PageRig } from '../page-data.js';
import type { Glass } from './glass.js';
import { smoothNormals } from './smooth-normals.js';
import { unpack } from './unpack.js';

/** Steps of a stored weight. */
const WHOLE = 255;

/** A skin's bones and their inverse bind matrices; the last slot is for vertices that nothing moves. */
export function makeSkeleton(skin: PageRig['skins'][number], bones: readonly Bone[], still: Bone) {
  const inverses = unpack(skin.inverseBind);
  return new Skeleton(
    [...skin.slots.map((node) => bones[node] ?? still), still],
    [...skin.slots.map((_, slot) => new Matrix4().fromArray(inverses, 16 * slot)), new Matrix4()],
  );
}

/**
 * One mesh as layers that share their geometry and skeleton. Skinning is that of glTF 2.0 (Skins): the
 * mesh node's own transform plays no part, so the bind matrix is the identity and stays apart from the
 * mesh's.
 */
export function makeMesh(mesh: PageMesh, skeleton: Skeleton, glass: Glass): SkinnedMesh[] {
  const geometry = makeGeometry(mesh, skeleton.bones.length - 1);
  return glass.layers.map((material, order) => {
    const layer = new SkinnedMesh(geometry, material);
    layer.bindMode = DetachedBindMode;
    layer.bind(skeleton, new Matrix4());
    // The box of a skinned mesh changes with its pose: testing it costs more than drawing.
    layer.frustumCulled = false;
    layer.renderOrder = order;
    layer.matrixAutoUpdate = false;
    return layer;
  });
}

function makeGeometry(mesh: PageMesh, slots: number): BufferGeometry {
  const stored = unpack(mesh.positions);
  const positions = new Float32Array(stored.length);
  for (let i = 0; i < stored.length; i++)
    positions[i] = (mesh.origin[i % 3] ?? 0) + (mesh.step[i % 3] ?? 0) * (stored[i] ?? 0);
  const triangles = unpack(mesh.triangles);
  const index = Uint16Array.from(unpack(mesh.slots));
  const weights = Uint8Array.from(unpack(mesh.weights));
  holdStill(index, weights, slots);
  const normals = smoothNormals(stored, positions, triangles);
  return new BufferGeometry()
    .setAttribute('position', new BufferAttribute(positions, 3))
    .setAttribute('normal', new BufferAttribute(normals, 3))
    .setAttribute('skinIndex', new BufferAttribute(index, 4))
    .setAttribute('skinWeight', new BufferAttribute(weights, 4, true))
    .setIndex(new BufferAttribute(triangles, 1));
}

/** Drops weights of slots that the skin does not have; vertices that nothing moves go to the last one. */
function holdStill(index: Uint16Array, weights: Uint8Array, slots: number): void {
  for (let first = 0; first < weights.length; first += 4) {
    let sum = 0;
    for (let i = first; i < first + 4; i++) {
      if ((index[i] ?? 0) >= slots) {
        index[i] = slots;
        weights[i] = 0;
      }
      sum += weights[i] ?? 0;
    }
    if (sum > 0) continue;
    index[first] = slots;
    weights[first] = WHOLE;
  }
}
