import { type Matrix4, type SkinnedMesh, Vector3 } from 'three';
import { placeOf } from './live-bones.js';
import type { LiveRig } from './live-rig.js';

/** Vertices of a mesh that a picture is fitted to, instead of all. */
const MOST_VERTICES = 4000;

/** Joints and evenly taken vertices of posed rigs: how far they reach. World of the stage. */
export function outline(rigs: readonly LiveRig[]): Vector3[] {
  const points = rigs.flatMap((rig) => [
    ...rig.joints.map((_, joint) => placeOf(rig, joint)),
    ...rig.meshes.flatMap(([mesh]) => {
      if (mesh === undefined) return [];
      const { count } = mesh.geometry.getAttribute('position');
      const length = Math.min(count, MOST_VERTICES);
      return Array.from({ length }, (_, i) => skinned(mesh, Math.floor((i * count) / length)));
    }),
  ]);
  return points.filter((point) => point.toArray().every(Number.isFinite));
}

/** All vertices of a mesh as it is posed, in the world that `back` leads to: x, y, z each. */
export function skinnedAll(mesh: SkinnedMesh, back: Matrix4): Float32Array {
  const { count } = mesh.geometry.getAttribute('position');
  const out = new Float32Array(3 * count);
  for (let vertex = 0; vertex < count; vertex++)
    out.set(skinned(mesh, vertex).applyMatrix4(back).toArray(), 3 * vertex);
  return out;
}

/** A posed vertex, by three.js's own skinning on the processor. World of the stage. */
function skinned(mesh: SkinnedMesh, vertex: number): Vector3 {
  const point = new Vector3().fromBufferAttribute(mesh.geometry.getAttribute('position'), vertex);
  mesh.applyBoneTransform(vertex, point);
  return point;
}
