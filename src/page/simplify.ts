import { MeshoptSimplifier } from 'meshoptimizer/simplifier';
import type { RigScene, Scene, SceneMesh } from '../draw/scene-types.js';

/** Triangles of an asset that a page shows; larger meshes are simplified to so many. */
export const MOST_TRIANGLES = 100_000;

/** How far a simplified surface may lie from the true one, relative to the size of its mesh. */
const FARTHEST_SHARE = 0.05;

/** A scene whose meshes a page can carry, and how many triangles it had before. */
export interface LightScene {
  readonly scene: Scene;
  readonly before: number;
  readonly after: number;
}

/**
 * Simplifies the meshes of an asset with more than `MOST_TRIANGLES` in all, each by the same share
 * (meshoptimizer, borders kept). Vertices that remain keep their place and weights.
 */
export async function lightScene(scene: Scene): Promise<LightScene> {
  const before = trianglesOf(scene);
  if (before <= MOST_TRIANGLES) return { scene, before, after: before };
  await MeshoptSimplifier.ready;
  const share = MOST_TRIANGLES / before;
  const rigs = scene.rigs.map(
    (rig): RigScene => ({ ...rig, meshes: rig.meshes.map((mesh) => lightMesh(mesh, share)) }),
  );
  return { scene: { rigs }, before, after: trianglesOf({ rigs }) };
}

export function trianglesOf({ rigs }: Scene): number {
  return rigs.reduce(
    (sum, rig) => rig.meshes.reduce((own, { triangles }) => own + triangles.length / 3, sum),
    0,
  );
}

function lightMesh(mesh: SceneMesh, share: number): SceneMesh {
  const target = 3 * Math.floor((mesh.triangles.length / 3) * share);
  const [indices] = MeshoptSimplifier.simplify(
    // It writes over what it is given.
    mesh.triangles.slice(),
    mesh.positions,
    3,
    target,
    FARTHEST_SHARE,
    ['LockBorder'],
  );
  return onlyUsed({ ...mesh, triangles: indices });
}

/** Drops the vertices that no triangle has. */
function onlyUsed(mesh: SceneMesh): SceneMesh {
  const [remap, count] = MeshoptSimplifier.compactMesh(mesh.triangles);
  const positions = new Float32Array(3 * count);
  const slots = new Uint16Array(4 * count);
  const weights = new Float32Array(4 * count);
  remap.forEach((to, from) => {
    if (to === UNUSED) return;
    positions.set(mesh.positions.subarray(3 * from, 3 * from + 3), 3 * to);
    slots.set(mesh.slots.subarray(4 * from, 4 * from + 4), 4 * to);
    weights.set(mesh.weights.subarray(4 * from, 4 * from + 4), 4 * to);
  });
  return { ...mesh, positions, slots, weights };
}

/** What the library writes for a vertex that is gone. */
const UNUSED = 0xffffffff;
