/** Three numbers: a point or a direction; the name of the variable says in which frame. */
export type Vec3 = readonly [number, number, number];

/** The three numbers at element `index` of a packed array. */
export function vec3At(array: ArrayLike<number>, index: number): Vec3 {
  return [array[3 * index] ?? 0, array[3 * index + 1] ?? 0, array[3 * index + 2] ?? 0];
}

export function add(a: Vec3, b: Vec3): Vec3 {
  return [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
}

export function subtract(a: Vec3, b: Vec3): Vec3 {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
}

export function scale(a: Vec3, factor: number): Vec3 {
  return [a[0] * factor, a[1] * factor, a[2] * factor];
}

export function dot(a: Vec3, b: Vec3): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

export function cross(a: Vec3, b: Vec3): Vec3 {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

export function length(a: Vec3): number {
  return Math.hypot(a[0], a[1], a[2]);
}

export function distance(a: Vec3, b: Vec3): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

/** The unit vector along `a`, or null when `a` has no length to speak of. */
export function direction(a: Vec3): Vec3 | null {
  const size = length(a);
  return size > 1e-30 && Number.isFinite(size) ? scale(a, 1 / size) : null;
}

/** Angle between two vectors in degrees, 0 to 180; exact for small angles, where acos is not. */
export function angleBetween(a: Vec3, b: Vec3): number {
  // The length of the cross product, without an array for it: this is asked thousands of times a rig.
  const across = Math.hypot(
    a[1] * b[2] - a[2] * b[1],
    a[2] * b[0] - a[0] * b[2],
    a[0] * b[1] - a[1] * b[0],
  );
  return degrees(Math.atan2(across, dot(a, b)));
}

/** `a` without its part along the unit vector `axis`. */
export function reject(a: Vec3, axis: Vec3): Vec3 {
  return subtract(a, scale(axis, dot(a, axis)));
}

/** Turns `v` about the unit vector `axis` by an angle in radians (Rodrigues' rotation formula). */
export function turn(v: Vec3, axis: Vec3, radians: number): Vec3 {
  const cosine = Math.cos(radians);
  const sine = Math.sin(radians);
  const along = dot(axis, v) * (1 - cosine);
  const across = cross(axis, v);
  return [
    v[0] * cosine + across[0] * sine + axis[0] * along,
    v[1] * cosine + across[1] * sine + axis[1] * along,
    v[2] * cosine + across[2] * sine + axis[2] * along,
  ];
}

/** Any unit vector square to the unit vector `a`; always the same one for the same `a`. */
export function perpendicular(a: Vec3): Vec3 {
  const sizes = a.map(Math.abs);
  const least = sizes.indexOf(Math.min(...sizes));
  const helper: Vec3 = [least === 0 ? 1 : 0, least === 1 ? 1 : 0, least === 2 ? 1 : 0];
  return direction(cross(a, helper)) ?? [1, 0, 0];
}

/**
 * Carries `v` along by the smallest rotation that takes the unit vector `from` to the unit vector
 * `to`: one step of parallel transport (Bishop 1975, "There is more than one way to frame a curve").
 */
export function carry(v: Vec3, from: Vec3, to: Vec3): Vec3 {
  const axis = cross(from, to);
  const sine = length(axis);
  const cosine = dot(from, to);
  // Straight on: nothing turns. Straight back: every half turn is as small; take a fixed one.
  if (sine < 1e-12) return cosine > 0 ? v : turn(v, perpendicular(from), Math.PI);
  return turn(v, scale(axis, 1 / sine), Math.atan2(sine, cosine));
}

/** Signed angle in degrees from `from` to `to` about the unit vector `axis`, -180 to 180. */
export function signedAngle(from: Vec3, to: Vec3, axis: Vec3): number {
  const a = reject(from, axis);
  const b = reject(to, axis);
  return degrees(Math.atan2(dot(cross(a, b), axis), dot(a, b)));
}

export function degrees(radians: number): number {
  return (radians * 180) / Math.PI;
}

export function radians(angle: number): number {
  return (angle * Math.PI) / 180;
}
