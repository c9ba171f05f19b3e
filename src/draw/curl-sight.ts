import {
  add,
  cross,
  direction,
  distance,
  dot,
  length,
  perpendicular,
  scale,
  subtract,
  type Vec3,
} from '../rig/vec3.js';

/** Where something is looked at from, without perspective. Unit vectors, world space. */
export interface Sight {
  /** To the right in the picture. */
  readonly right: Vec3;
  readonly up: Vec3;
  /** Towards the viewer. */
  readonly toward: Vec3;
}

/** Two curls of one chain, joint by joint. */
export interface TwoCurls {
  readonly own: readonly Vec3[];
  readonly carried: readonly Vec3[];
}

/** Gaps that are smaller beside the chain are rounding, and so is what bends so little. */
const ROUNDING = 1e-9;

/**
 * Where the two curls are seen apart best. The widest gap runs up the picture at its full length; of the
 * directions square to it, the one to the right shows most of all other gaps and of both chains (the
 * largest eigenvector of their scatter, as in principal components). Curls that do not part are looked
 * at square onto their plane.
 */
export function tellingSight({ own, carried }: TwoCurls): Sight {
  const gaps = carried.map((point, place) => subtract(own[place] ?? point, point));
  const widest = gaps.reduce((most, gap) => (length(gap) > length(most) ? gap : most), NOTHING);
  const first = carried[0] ?? NOTHING;
  const chain = [...own, ...carried].map((point) => subtract(point, first));
  const size = Math.max(0, ...chain.map(length));
  const up = (length(widest) > ROUNDING * size ? direction(widest) : null) ?? acrossOf(carried);
  const side = perpendicular(up);
  const other = cross(up, side);
  let [cosine, sine] = [0, 0];
  for (const vectors of [gaps, chain]) {
    const whole = vectors.reduce((sum, vector) => sum + dot(vector, vector), 0);
    if (!(whole > 0)) continue;
    for (const vector of vectors) {
      const [x, y] = [dot(vector, side), dot(vector, other)];
      cosine += (x * x - y * y) / whole;
      sine += (2 * x * y) / whole;
    }
  }
  const angle = Math.atan2(sine, cosine) / 2;
  const found = add(scale(side, Math.cos(angle)), scale(other, Math.sin(angle)));
  // The chain runs to the right.
  const runs = chain.reduce((sum, point) => sum + dot(point, found), 0);
  const right = scale(found, runs < 0 ? -1 : 1);
  return { right, up, toward: cross(right, up) };
}

/** How far a second look is turned about the first where it would see the plane from its edge. Degrees. */
export const SIDE_DEGREES = 60;
/** A look onto the plane that is less far off the first shows nothing new. Cosine of 30 degrees. */
const NEAR = Math.cos(Math.PI / 6);

/** A second look: square onto the plane of the carried curl, or else from the side of the first. */
export function secondSight({ carried }: TwoCurls, first: Sight): Sight & { isOnto: boolean } {
  const normal = planeNormal(carried);
  const facing = normal === null ? 1 : dot(normal, first.toward);
  if (normal !== null && Math.abs(facing) < NEAR) {
    const toward = scale(normal, facing < 0 ? -1 : 1);
    const right = direction(subtract(first.right, scale(toward, dot(first.right, toward))));
    if (right !== null) return { right, up: cross(toward, right), toward, isOnto: true };
  }
  const angle = (SIDE_DEGREES * Math.PI) / 180;
  const toward = add(scale(first.toward, Math.cos(angle)), scale(first.right, Math.sin(angle)));
  return { right: cross(first.up, toward), up: first.up, toward, isOnto: false };
}

const NOTHING: Vec3 = [0, 0, 0];

/** Across the run of some points, in their plane where they have one. */
function acrossOf(points: readonly Vec3[]): Vec3 {
  const along = direction(subtract(points.at(-1) ?? NOTHING, points[0] ?? NOTHING)) ?? [1, 0, 0];
  const normal = planeNormal(points);
  return (normal && direction(cross(normal, along))) ?? perpendicular(along);
}

/**
 * Normal of the plane in which a closed run of points has its largest area (Newell's method:
 * Sutherland, Sproull and Schumacker 1974, "A characterization of ten hidden-surface algorithms").
 * Null for points in a line.
 */
function planeNormal(points: readonly Vec3[]): Vec3 | null {
  const [first = NOTHING] = points;
  let sum: Vec3 = NOTHING;
  points.forEach((point, index) => {
    const next = points[(index + 1) % points.length] ?? point;
    sum = add(sum, cross(subtract(point, first), subtract(next, first)));
  });
  const size = points.reduce((most, point) => Math.max(most, distance(point, first)), 0);
  return length(sum) <= ROUNDING * size * size ? null : direction(sum);
}
