import { type Matrix4, type SkinnedMesh, Vector3 } from 'three';

/** Where a vertex stands as its mesh is posed, by three.js's own skinning on the processor. World of the stage. */
export function skinned(mesh: SkinnedMesh, vertex: number): Vector3 {
  const point = new Vector3().fromBufferAttribute(mesh.geometry.getAttribute('position'), vertex);
  mesh.applyBoneTransform(vertex, point);
  return point;
}

/** All vertices of a mesh as it is posed, in the world that `back` leads to: x, y, z each. */
export function skinnedAll(mesh: SkinnedMesh, back: Matrix4): Float32Array {
  const count = mesh.geometry.getAttribute('position').count;
  const out = new Float32Array(3 * count);
  for (let vertex = 0; vertex < count; vertex++)
    out.set(skinned(mesh, vertex).applyMatrix4(back).toArray(), 3 * vertex);
  return out;
}
