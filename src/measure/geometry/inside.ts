import { distance, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import { bodyRoot } from '../skeleton/body-root.js';
import { skinMass } from '../skin/skin-mass.js';
import { bindMesh } from './bind-mesh.js';
import { isFlat, surfaceGrid } from './bind-surface.js';
import { isClosed } from './closed.js';
import { cornersOf, nearestOnSurface, trianglesNear } from './nearest-on-surface.js';
import { weld } from './weld.js';
import { INSIDE, SIDE_ONLY, windingNumbers } from './winding-number.js';

/** Where one joint lies. Bind pose, world units. */
export interface JointInside {
  readonly joint: number;
  /** Generalised winding number of the whole mesh at the joint, as near as its side needs. */
  readonly winding: number;
  /** The point of the surface that is nearest to it; null where it lies inside. */
  readonly surface: ReturnType<typeof nearestOnSurface>;
}

export interface JointsInside {
  /** Joints that move skin and have a joint below them, carriers left out, in joint order. */
  readonly joints: readonly JointInside[];
  /** Why nothing was measured; null when it was. */
  readonly because: string | null;
}

/** Above this share of joints outside, an open mesh is cloth, which has no inside. */
const MOST_OUTSIDE = 2 / 3;
/** A joint at an open border is this near to it. Share of size. */
const BORDER_REACH = 0.1;

/** Whether each inner joint lies inside the bind-posed mesh, all parts taken together. */
export const jointsInside = fact((facts): JointsInside => {
  const { moves, hasMesh } = skinMass(facts);
  const nothing = (because: string): JointsInside => ({ joints: [], because });
  if (!hasMesh || !(bindMesh(facts).size > 0)) return nothing('the rig moves no mesh');
  if (facts.rig.parts.every((part) => (part.triangles?.length ?? 0) < 3))
    return nothing('the mesh has no triangles');
  if (isFlat(facts)) return nothing('the mesh is flat and has no inside');
  const carriers = new Set(bodyRoot(facts).carriers);
  const { children } = facts.rig.joints;
  const judged = children.flatMap((below, joint) =>
    below.length > 0 && moves[joint] === 1 && !carriers.has(joint) ? [joint] : [],
  );
  if (judged.length === 0) return nothing('no joint that moves skin has a joint below it');
  const places = judged.map((joint): Vec3 => bindPose(facts).places[joint] ?? [0, 0, 0]);
  const grid = surfaceGrid(facts);
  const windings = windingNumbers(grid, places.flat(), SIDE_ONLY);
  // A shell that is inside out encloses a joint all the same.
  const isInside = judged.map((_, i) => Math.abs(windings[i] ?? 0) > INSIDE);
  const outside = isInside.filter((inside) => !inside).length;
  if (outside > MOST_OUTSIDE * judged.length && !isClosed(facts))
    return nothing('most joints lie outside an open mesh, as in cloth');
  const joints = judged.map((joint, i): JointInside => {
    const surface = isInside[i] ? null : nearestOnSurface(grid, places[i] ?? [0, 0, 0]);
    return { joint, winding: windings[i] ?? 0, surface };
  });
  return { joints, because: null };
});

/** Whether the mesh stops near a place: an edge of one triangle only, 10 % of size away at most. */
export function nearOpenBorder(facts: Facts, from: Vec3): boolean {
  const grid = surfaceGrid(facts);
  const reach = BORDER_REACH * bindMesh(facts).size;
  // An edge within reach has all its triangles within reach, so no other need be looked at.
  const corners = trianglesNear(grid, from, reach).flatMap((triangle) => cornersOf(grid, triangle));
  const same = weld(Float32Array.from(corners.flat()));
  const near = corners.map((corner) => distance(corner, from) <= reach);
  const uses = new Map<number, number>();
  for (let i = 0; i < corners.length; i++) {
    const next = i % 3 === 2 ? i - 2 : i + 1;
    const [a, b] = [same[i] ?? 0, same[next] ?? 0];
    if (a === b || (near[i] !== true && near[next] !== true)) continue;
    const edge = Math.min(a, b) * corners.length + Math.max(a, b);
    uses.set(edge, (uses.get(edge) ?? 0) + 1);
  }
  return [...uses.values()].includes(1);
}
