import type { RigReport } from '../report/report-types.js';
import type { Box } from '../rig/box.js';
import { column, mat4At } from '../rig/mat4.js';
import { direction, type Vec3, vec3At } from '../rig/vec3.js';
import { jointPlaces, restMesh, restWorld, type ShownMesh } from './rest-mesh.js';
import type { RigScene } from './scene.js';
import { boundsOf, isDrawable } from './view.js';

/** One rig as it is drawn, in the stored pose; world space. */
export interface RigShape {
  /** Index of the rig in the report. */
  readonly index: number;
  readonly scene: RigScene;
  readonly mesh: ShownMesh;
  readonly joints: readonly JointShape[];
  /** Around mesh and joints together. */
  readonly bounds: Box;
}

export interface JointShape {
  readonly name: string;
  /** Null when it stands nowhere that can be drawn. */
  readonly place: Vec3 | null;
  readonly parent: number;
  readonly movesSkin: boolean;
  /** Unit vectors along its X, Y and Z; null when one of them has no direction. */
  readonly axes: readonly [Vec3, Vec3, Vec3] | null;
}

/** @param report What the report says of the rig; without it joints have no names. */
export function makeRigShape(
  index: number,
  scene: RigScene,
  report: RigReport | undefined,
): RigShape {
  const world = restWorld(scene);
  const mesh = restMesh(scene, world);
  const joints = jointPlaces(scene, world).map((place, joint): JointShape => {
    const { name = '', movesSkin = true } = report?.joints[joint] ?? {};
    const matrix = mat4At(world, scene.jointNodes[joint] ?? 0);
    const [x, y, z] = [0, 1, 2].map((axis) => direction(column(matrix, axis)));
    return {
      name,
      place: isDrawable(place) ? place : null,
      parent: scene.jointParents[joint] ?? -1,
      movesSkin,
      axes: x && y && z ? [x, y, z] : null,
    };
  });
  return { index, scene, mesh, joints, bounds: boundsOf(shownPoints(mesh, joints)) };
}

function* shownPoints(
  { positions, triangles }: ShownMesh,
  joints: readonly JointShape[],
): Generator<Vec3> {
  // A vertex of no triangle is not seen; one of many is looked at once.
  const seen = new Uint8Array(positions.length / 3);
  for (const corner of triangles) {
    if (seen[corner] !== 0) continue;
    seen[corner] = 1;
    yield vec3At(positions, corner);
  }
  for (const { place } of joints) if (place !== null) yield place;
}
