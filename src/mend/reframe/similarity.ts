import { decompose, skew } from '../../rig/decompose.js';
import { compose, type Mat4 } from '../../rig/mat4.js';
import { conjugate, multiplyQuaternions, type Quaternion, rotate } from '../../rig/quaternion.js';
import { add, scale as scaled, type Vec3 } from '../../rig/vec3.js';
import { EVEN } from '../carry/frame-change.js';

/** Keeps angles and does not mirror: scale first, then rotation (a unit), then translation. */
export interface Similarity {
  readonly translation: Vec3;
  readonly rotation: Quaternion;
  /** Above 0. */
  readonly scale: number;
}

export const NO_CHANGE: Similarity = { translation: [0, 0, 0], rotation: [0, 0, 0, 1], scale: 1 };

/** A scale that is nearer to 1 is 1: what float64 leaves of s / s. */
const ROUNDING = 1e-12;

/** The similarity that a matrix is; null where it scales unequally, skews, mirrors or flattens. */
export function similarityOf(matrix: Mat4): Similarity | null {
  const { translation, rotation, scale } = decompose(matrix);
  const [x, y, z] = scale;
  const [least, most] = [Math.min(x, y, z), Math.max(x, y, z)];
  if (!(least > 0) || most / least - 1 > EVEN || skew(matrix) > EVEN) return null;
  return { translation, rotation, scale: nearOne(least === most ? x : Math.cbrt(x * y * z)) };
}

export function turnAlone(rotation: Quaternion): Similarity {
  return { ...NO_CHANGE, rotation };
}

export function scaleAlone(scale: number): Similarity {
  return { ...NO_CHANGE, scale };
}

/** a after b. */
export function after(a: Similarity, b: Similarity): Similarity {
  return {
    translation: moved(a, b.translation),
    rotation: multiplyQuaternions(a.rotation, b.rotation),
    scale: nearOne(a.scale * b.scale),
  };
}

export function inverseOf({ translation, rotation, scale }: Similarity): Similarity {
  const back = conjugate(rotation);
  return {
    translation: scaled(rotate(back, translation), -1 / scale),
    rotation: back,
    scale: nearOne(1 / scale),
  };
}

/** Where a place goes. */
export function moved(by: Similarity, place: Vec3): Vec3 {
  return add(by.translation, turnedAndScaled(by, place));
}

/** Where a difference of places goes, such as the tangent of a curve. */
export function turnedAndScaled(by: Similarity, difference: Vec3): Vec3 {
  return scaled(rotate(by.rotation, difference), by.scale);
}

export function matrixOf({ translation, rotation, scale }: Similarity): Mat4 {
  return compose(translation, rotation, [scale, scale, scale]);
}

export function isTurned({ rotation: [x, y, z] }: Similarity): boolean {
  return x !== 0 || y !== 0 || z !== 0;
}

export function isNoChange(by: Similarity): boolean {
  return by.translation.every((value) => value === 0) && !isTurned(by) && by.scale === 1;
}

export function nearOne(value: number): number {
  return Math.abs(value - 1) < ROUNDING ? 1 : value;
}
