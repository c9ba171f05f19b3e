import type { Vector3 } from 'three';
import { type LiveRig, placeOf } from './live-rig.js';
import { skinned } from './skinned.js';

/** Vertices of a mesh that stand for all of them where a picture is fitted to it. */
const MOST_VERTICES = 4000;

/** Points that show how far rigs reach as posed: joints, and vertices evenly taken. World of the stage. */
export function outline(rigs: readonly LiveRig[]): Vector3[] {
  const points = rigs.flatMap((rig) => [
    ...rig.joints.map((_, joint) => placeOf(rig, joint)),
    ...rig.meshes.flatMap(([mesh]) => {
      const count = mesh?.geometry.getAttribute('position').count ?? 0;
      const taken = Math.min(count, MOST_VERTICES);
      return Array.from({ length: taken }, (_, i) =>
        mesh === undefined ? [] : skinned(mesh, Math.floor((i * count) / taken)),
      ).flat();
    }),
  ]);
  return points.filter((point) => point.toArray().every(Number.isFinite));
}
