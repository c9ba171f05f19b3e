import { radians, type Vec3 } from '../../rig/vec3.js';

/*
 * Hot arithmetic on packed points. A point is given by where it begins in `p`; results go to `out`,
 * since a fresh array a triangle would cost more than the sums.
 */

/**
 * Twice the area of a triangle along its normal, to `out`.
 *
 * @returns Six times the signed volume of the cone from the origin.
 */
export function normalAt(
  p: Float64Array,
  a: number,
  b: number,
  c: number,
  out: Float64Array,
): number {
  const px = p[a] ?? 0;
  const py = p[a + 1] ?? 0;
  const pz = p[a + 2] ?? 0;
  const ux = (p[b] ?? 0) - px;
  const uy = (p[b + 1] ?? 0) - py;
  const uz = (p[b + 2] ?? 0) - pz;
  const vx = (p[c] ?? 0) - px;
  const vy = (p[c + 1] ?? 0) - py;
  const vz = (p[c + 2] ?? 0) - pz;
  const nx = uy * vz - uz * vy;
  const ny = uz * vx - ux * vz;
  const nz = ux * vy - uy * vx;
  out[0] = nx;
  out[1] = ny;
  out[2] = nz;
  return px * nx + py * ny + pz * nz;
}

/** Cross product of two points, to `out`. */
export function crossAt(p: Float64Array, a: number, b: number, out: Float64Array): void {
  out[0] = (p[a + 1] ?? 0) * (p[b + 2] ?? 0) - (p[a + 2] ?? 0) * (p[b + 1] ?? 0);
  out[1] = (p[a + 2] ?? 0) * (p[b] ?? 0) - (p[a] ?? 0) * (p[b + 2] ?? 0);
  out[2] = (p[a] ?? 0) * (p[b + 1] ?? 0) - (p[a + 1] ?? 0) * (p[b] ?? 0);
}

/** Squared distance of two points. */
export function spanSquared(p: Float64Array, a: number, b: number): number {
  const x = (p[b] ?? 0) - (p[a] ?? 0);
  const y = (p[b + 1] ?? 0) - (p[a + 1] ?? 0);
  const z = (p[b + 2] ?? 0) - (p[a + 2] ?? 0);
  return x * x + y * y + z * z;
}

export function squareOf(v: Float64Array): number {
  return (v[0] ?? 0) ** 2 + (v[1] ?? 0) ** 2 + (v[2] ?? 0) ** 2;
}

/**
 * Turns points about an axis (a unit vector) through the origin, each by linear blend skinning
 * between staying and turning along: p' = (1 - s) p + s T p, p from the joint's place.
 */
export function turnPoints(
  places: Float64Array,
  shares: Float64Array,
  axis: Vec3,
  degrees: number,
): Float64Array {
  const [ax, ay, az] = axis;
  const sine = Math.sin(radians(degrees));
  const less = 1 - Math.cos(radians(degrees));
  const out = new Float64Array(places.length);
  for (let i = 0; i < shares.length; i++) {
    const x = places[3 * i] ?? 0;
    const y = places[3 * i + 1] ?? 0;
    const z = places[3 * i + 2] ?? 0;
    const s = shares[i] ?? 0;
    // T p - p, by Rodrigues' rotation formula.
    const along = ax * x + ay * y + az * z;
    out[3 * i] = x + s * (sine * (ay * z - az * y) - less * (x - ax * along));
    out[3 * i + 1] = y + s * (sine * (az * x - ax * z) - less * (y - ay * along));
    out[3 * i + 2] = z + s * (sine * (ax * y - ay * x) - less * (z - az * along));
  }
  return out;
}
