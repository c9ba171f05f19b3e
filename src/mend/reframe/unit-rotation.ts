import type { Quaternion } from '../../rig/quaternion.js';

/**
 * What is longer than this was no unit quaternion before, either. Programs that mix such keys as they are
 * would show another pose if they were shortened, so they stay. What rounding leaves of products of units
 * is below.
 */
const NEARLY_UNIT = 1 + 2e-6;

/**
 * A rotation as it is stored, whose length is at most 1 both as it is and once rounded to float32: glTF 2.0
 * stores rotations as unit quaternions (5.25, 3.11), and the arc cosine of more than 1 is no number. Where
 * rounding made it longer, the largest component is rounded towards zero, which turns it least.
 */
export function atMostUnit(rotation: Quaternion): Quaternion {
  const size = Math.hypot(...rotation);
  if (!(size <= NEARLY_UNIT)) return rotation;
  let units = rotation.map((part) => (size > 1 ? part / size : part));
  while (isTooLong(units)) units = units.map((part) => part * (1 - Number.EPSILON));
  const largest = units.reduce(
    (best, part, at) => (Math.abs(part) > Math.abs(units[best] ?? 0) ? at : best),
    0,
  );
  while (isTooLong(units.map(Math.fround))) units[largest] = nextTowardsZero(units[largest] ?? 0);
  const [x = 0, y = 0, z = 0, w = 1] = units;
  return [x, y, z, w];
}

/**
 * The same of rotation keys, in their place.
 *
 * @param isCubic Whether each key has a tangent before and after it, which may have any length.
 */
export function keepUnits(keys: Float32Array, isCubic: boolean): Float32Array {
  const [step, skip] = isCubic ? [12, 4] : [4, 0];
  for (let at = skip; at + 4 <= keys.length; at += step) {
    const [x = 0, y = 0, z = 0, w = 1] = keys.subarray(at, at + 4);
    if (isTooLong([x, y, z, w])) keys.set(atMostUnit([x, y, z, w]), at);
  }
  return keys;
}

function isTooLong(parts: readonly number[]): boolean {
  return parts.reduce((sum, part) => sum + part * part, 0) > 1;
}

/** The float32 before a number, on its way to zero. */
function nextTowardsZero(value: number): number {
  FLOAT[0] = value;
  // Where rounding went away from zero already, the float that it led to may be the one to leave.
  if (Math.abs(FLOAT[0]) >= Math.abs(value)) BITS[0] = (BITS[0] ?? 0) - 1;
  return FLOAT[0];
}

const FLOAT = new Float32Array(1);

/** The same bytes: sign and magnitude, so that the float before has bits that are less by one. */
const BITS = new Uint32Array(FLOAT.buffer);
