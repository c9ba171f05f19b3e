import type { RigReport } from '../report/report-types.js';
import { column, mat4At } from '../rig/mat4.js';
import { direction, distance, type Vec3, vec3At } from '../rig/vec3.js';
import { jointPlaces, restMesh, restWorld, type ShownMesh } from './rest-mesh.js';
import type { RigScene, SceneApproved } from './scene.js';
import { boundsOf, isDrawable } from './view.js';

/** One rig as it is drawn, in the stored pose; world space. */
export type RigShape = ReturnType<typeof makeRigShape>;

export type JointShape = RigShape['joints'][number];

/**
 * @param index Of the rig in the report.
 * @param report What the report says of the rig; without it joints have no names.
 */
export function makeRigShape(index: number, scene: RigScene, report: RigReport | undefined) {
  const world = restWorld(scene);
  const mesh = restMesh(scene, world);
  const places = jointPlaces(scene, world).map((place) => (isDrawable(place) ? place : null));
  const joints = places.map((place, joint) => {
    const { name = '', movesSkin = true } = report?.joints[joint] ?? {};
    const matrix = mat4At(world, scene.jointNodes[joint] ?? 0);
    const [x, y, z] = [0, 1, 2].map((axis) => direction(column(matrix, axis)));
    return {
      name,
      /** Null where nothing can be drawn. */
      place,
      parent: scene.jointParents[joint] ?? -1,
      movesSkin,
      /** Unit vectors along its X, Y and Z; null when one of them has no direction. */
      axes: x && y && z ? ([x, y, z] as const) : null,
    };
  });
  const approved = scene.approved && approvedShape(scene, scene.approved, places);
  const beside = approved?.places.filter((place) => place !== null) ?? [];
  const bounds = boundsOf(shownPoints(mesh, [...places, ...beside]));
  return { index, scene, mesh, joints, approved: approved ?? null, bounds };
}

/** A joint of the approved rig this near one of the rig is not told from it. Share of the rig's size. */
const SEEN_AS_ONE = 0.005;

/** The approved rig as it is laid over a rig whose joints are at `own`. */
function approvedShape(
  { size }: RigScene,
  { places, jointParents, jointAnswers }: SceneApproved,
  own: readonly (Vec3 | null)[],
) {
  const shown = places.map((place) => (isDrawable(place) ? place : null));
  const apart = shown.flatMap((place, joint) => {
    const answer = own[jointAnswers[joint] ?? -1] ?? null;
    const isThere = place && answer && distance(place, answer) <= SEEN_AS_ONE * size;
    return place === null || isThere ? [] : [joint];
  });
  return {
    /** Null where nothing can be drawn. */
    places: shown,
    parents: jointParents,
    /** Joints whose answer stands elsewhere, or that have none. */
    apart,
    /** What a view has to show of each of these: the way from its answer, or the bone that is missing. */
    gaps: apart.flatMap((joint): (readonly [Vec3, Vec3])[] => {
      const [place, from] = [shown[joint], own[jointAnswers[joint] ?? -1]];
      const start = from ?? shown[jointParents[joint] ?? -1];
      return place && start ? [[start, place]] : [];
    }),
  };
}

function* shownPoints(
  { positions, triangles }: ShownMesh,
  places: readonly (Vec3 | null)[],
): Generator<Vec3> {
  // A vertex of no triangle is not seen; one of many is looked at once.
  const seen = new Uint8Array(positions.length / 3);
  for (const corner of triangles) {
    if (seen[corner] !== 0) continue;
    seen[corner] = 1;
    yield vec3At(positions, corner);
  }
  for (const place of places) if (place !== null) yield place;
}
