import { type Mat4, mat4At, multiply, origin, transformPoint } from '../rig/mat4.js';
import { type Vec3, vec3At } from '../rig/vec3.js';
import type { RigScene, SceneMesh } from './scene.js';

/** A mesh as a viewer shows it, world space. */
export type ShownMesh = Pick<SceneMesh, 'positions' | 'triangles'>;

/** World matrix of each node as stored, 16 numbers a node (glTF 2.0, Transformations). */
export function restWorld(rig: Pick<RigScene, 'nodes'>): Float64Array {
  const world = new Float64Array(16 * rig.nodes.length);
  rig.nodes.forEach(({ parent, local }, node) => {
    if (parent === -1) world.set(local, 16 * node);
    else multiply(mat4At(world, parent), Float64Array.from(local), mat4At(world, node));
  });
  return world;
}

/** Places of the joints as stored, in joint order; world space. */
export function jointPlaces(rig: Pick<RigScene, 'jointNodes'>, world: Float64Array): Vec3[] {
  return rig.jointNodes.map((node) => origin(mat4At(world, node)));
}

/**
 * All meshes of a rig in the stored pose, as one. Skinning is that of glTF 2.0 (Skins): the sum of
 * w W B p; the mesh node's own transform plays no part. A vertex without weights stays where the file
 * has it.
 */
export function restMesh(rig: RigScene, world: Float64Array): ShownMesh {
  const sumOf = (key: 'positions' | 'triangles'): number =>
    rig.meshes.reduce((sum, { [key]: array }) => sum + array.length, 0);
  const positions = new Float32Array(sumOf('positions'));
  const triangles = new Uint32Array(sumOf('triangles'));
  let [vertexAt, cornerAt] = [0, 0];
  for (const mesh of rig.meshes) {
    const { slots = [], inverseBind = new Float64Array() } = rig.skins[mesh.skin] ?? {};
    const matrices = slots.map((node, slot) =>
      multiply(mat4At(world, node), mat4At(inverseBind, slot)),
    );
    skinMesh(mesh, matrices, positions.subarray(vertexAt));
    const first = vertexAt / 3;
    for (const corner of mesh.triangles) triangles[cornerAt++] = first + corner;
    vertexAt += mesh.positions.length;
  }
  return { positions, triangles };
}

function skinMesh(mesh: SceneMesh, matrices: readonly Mat4[], out: Float32Array): void {
  const { positions, slots, weights } = mesh;
  for (let vertex = 0; 3 * vertex < positions.length; vertex++) {
    const point = vec3At(positions, vertex);
    let [x, y, z, sum] = [0, 0, 0, 0];
    for (let i = 4 * vertex; i < 4 * vertex + 4; i++) {
      const weight = weights[i] ?? 0;
      const matrix = matrices[slots[i] ?? 0];
      if (weight === 0 || matrix === undefined) continue;
      const moved = transformPoint(matrix, point);
      x += weight * moved[0];
      y += weight * moved[1];
      z += weight * moved[2];
      sum += weight;
    }
    out.set(sum > 0 ? [x, y, z] : point, 3 * vertex);
  }
}
