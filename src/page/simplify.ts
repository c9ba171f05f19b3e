import { MeshoptSimplifier } from 'meshoptimizer/simplifier';
import type { Scene, SceneMesh } from '../draw/scene.js';

/** Triangles of an asset that a page shows; larger meshes are simplified to so many. */
export const MOST_TRIANGLES = 100_000;
/** How far a simplified surface may lie from the true one, relative to the size of its mesh. */
const FARTHEST_SHARE = 0.05;
/** More than so many times the wanted triangles make a page too large. */
const FAR_OVER = 1.5;
/** What compactMesh writes for a vertex that is dropped. */
const UNUSED = 0xffffffff;

/** A scene whose meshes a page can carry, and how many triangles it had before. */
export type LightScene = Awaited<ReturnType<typeof lightScene>>;

/**
 * Simplifies the meshes of an asset with more than `MOST_TRIANGLES` in all, each by the same share
 * (meshoptimizer; borders are kept where that leaves few enough), and drops vertices of others that no
 * triangle has. Vertices that remain keep their place and weights.
 */
export async function lightScene(scene: Scene) {
  const before = trianglesOf(scene);
  const share = MOST_TRIANGLES / before;
  const hasSpare = scene.rigs.some(({ meshes }) => meshes.some(hasSpareVertices));
  if (share >= 1 && !hasSpare) return { scene, before, after: before };
  await MeshoptSimplifier.ready;
  const light = (mesh: SceneMesh): SceneMesh => {
    if (share < 1) return lightMesh(mesh, share);
    return hasSpareVertices(mesh) ? onlyUsed(mesh) : mesh;
  };
  const rigs = scene.rigs.map((rig) => ({ ...rig, meshes: rig.meshes.map(light) }));
  return { scene: { rigs }, before, after: trianglesOf({ rigs }) };
}

export function trianglesOf({ rigs }: Scene): number {
  const meshes = rigs.flatMap((rig) => rig.meshes);
  return meshes.reduce((sum, { triangles }) => sum + triangles.length / 3, 0);
}

/** A mesh with about this share of its triangles. `MeshoptSimplifier.ready` must have come. */
export function lightMesh(mesh: SceneMesh, share: number): SceneMesh {
  const target = 3 * Math.floor((mesh.triangles.length / 3) * share);
  const { positions } = mesh;
  const corners = (): Uint32Array => mesh.triangles.slice();
  const [kept] = MeshoptSimplifier.simplify(corners(), positions, 3, target, FARTHEST_SHARE, [
    'LockBorder',
  ]);
  // Triangles that share no vertex are all border.
  const triangles =
    kept.length <= FAR_OVER * target
      ? kept
      : MeshoptSimplifier.simplifySloppy(corners(), positions, 3, null, target, 1)[0];
  return onlyUsed({ ...mesh, triangles });
}

/** Whether a mesh has more vertices than corners of triangles: a page need not carry the rest. */
function hasSpareVertices({ positions, triangles }: SceneMesh): boolean {
  return positions.length > 3 * triangles.length;
}

function onlyUsed(mesh: SceneMesh): SceneMesh {
  // compactMesh overwrites its argument.
  const triangles = mesh.triangles.slice();
  const [remap, count] = MeshoptSimplifier.compactMesh(triangles);
  const positions = new Float32Array(3 * count);
  const slots = new Uint16Array(4 * count);
  const weights = new Float32Array(4 * count);
  remap.forEach((to, from) => {
    if (to === UNUSED) return;
    positions.set(mesh.positions.subarray(3 * from, 3 * from + 3), 3 * to);
    slots.set(mesh.slots.subarray(4 * from, 4 * from + 4), 4 * to);
    weights.set(mesh.weights.subarray(4 * from, 4 * from + 4), 4 * to);
  });
  return { ...mesh, positions, triangles, slots, weights };
}
