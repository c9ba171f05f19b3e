import { angleBetween, cross, direction, dot, type Vec3 } from '../../rig/vec3.js';

/**
 * Angle in degrees from a direction to the nearest in the spread of others: the spherical hull of
 * the unit vectors, taken as all triangles and arcs between them, which must lie within half a turn
 * of each other. Infinity for fewer than two.
 */
export function offSpread(aim: Vec3, bones: readonly Vec3[]): number {
  let least = Infinity;
  for (const [i, a] of bones.entries()) {
    for (const [j, b] of bones.slice(i + 1).entries()) {
      if (bones.slice(i + j + 2).some((c) => within(aim, a, b, c))) return 0;
      least = Math.min(least, offArc(aim, a, b));
    }
  }
  return least;
}

/** Angle from `aim` to the shorter great arc between `a` and `b`. Degrees. */
function offArc(aim: Vec3, a: Vec3, b: Vec3): number {
  const ends = Math.min(angleBetween(aim, a), angleBetween(aim, b));
  const normal = direction(cross(a, b));
  if (normal === null) return ends;
  // Over the arc itself the nearest point is where the plane through `aim` and the normal cuts it.
  const over = dot(cross(normal, a), aim) > 0 && dot(cross(b, normal), aim) > 0;
  return over ? Math.min(ends, Math.abs(90 - angleBetween(aim, normal))) : ends;
}

/** Whether `aim` lies in the spherical triangle of three directions. */
function within(aim: Vec3, a: Vec3, b: Vec3, c: Vec3): boolean {
  const sides = [dot(cross(a, b), aim), dot(cross(b, c), aim), dot(cross(c, a), aim)];
  const facing = dot(aim, a) > 0;
  return facing && (sides.every((side) => side > 0) || sides.every((side) => side < 0));
}
