import type { PlayPose } from './play-pose.js';

/** Turns x over of each of some places: x, y, z each, in one list. */
export function mirrorPlaces(places: Float64Array): void {
  for (let at = 0; at < places.length; at += 3) places[at] = -(places[at] ?? 0);
}

/** Where nodes are, by their world matrices. */
export function originsOf(
  nodes: Int32Array,
  { world, offsetOf }: Pick<PlayPose, 'world' | 'offsetOf'>,
  out: Float64Array,
): void {
  for (let at = 0; at < nodes.length; at++) {
    const from = offsetOf[nodes[at] ?? 0] ?? 0;
    out[3 * at] = world[from + 12] ?? 0;
    out[3 * at + 1] = world[from + 13] ?? 0;
    out[3 * at + 2] = world[from + 14] ?? 0;
  }
}

/** How far apart one place is in two lists. */
export function distanceAt(a: Float64Array, b: Float64Array, at: number): number {
  const x = (a[3 * at] ?? 0) - (b[3 * at] ?? 0);
  const y = (a[3 * at + 1] ?? 0) - (b[3 * at + 1] ?? 0);
  const z = (a[3 * at + 2] ?? 0) - (b[3 * at + 2] ?? 0);
  return Math.sqrt(x * x + y * y + z * z);
}

/** The angle between two bones, in degrees; 0 where one is too short to have a direction. */
export function boneAngle(
  a: Float64Array,
  c: Float64Array,
  from: number,
  to: number,
  least: number,
): number {
  const ax = (a[3 * to] ?? 0) - (a[3 * from] ?? 0);
  const ay = (a[3 * to + 1] ?? 0) - (a[3 * from + 1] ?? 0);
  const az = (a[3 * to + 2] ?? 0) - (a[3 * from + 2] ?? 0);
  const cx = (c[3 * to] ?? 0) - (c[3 * from] ?? 0);
  const cy = (c[3 * to + 1] ?? 0) - (c[3 * from + 1] ?? 0);
  const cz = (c[3 * to + 2] ?? 0) - (c[3 * from + 2] ?? 0);
  const shorter = Math.min(ax * ax + ay * ay + az * az, cx * cx + cy * cy + cz * cz);
  if (!(shorter > least * least)) return 0;
  const x = ay * cz - az * cy;
  const y = az * cx - ax * cz;
  const z = ax * cy - ay * cx;
  const sine = Math.sqrt(x * x + y * y + z * z);
  return (180 / Math.PI) * Math.atan2(sine, ax * cx + ay * cy + az * cz);
}
