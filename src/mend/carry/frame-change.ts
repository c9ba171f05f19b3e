import { decompose, quaternionOf, skew, squareAxes } from '../../rig/decompose.js';
import { column, determinant3, identity, invert, type Mat4, origin } from '../../rig/mat4.js';
import type { Quaternion } from '../../rig/quaternion.js';
import { length, scale } from '../../rig/vec3.js';
import type { NodeJson } from '../json/gltf-json.js';

/** What a constant change C of a node's frame, W' = W C, does to what is given in that frame. */
export interface FrameChange {
  /** Of C: what was at p in the old frame is at C^-1 p in the new one. */
  readonly inverse: Mat4;
  /** The rotation of C, without its mirroring. */
  readonly turn: Quaternion;
  /** Lengths in the old frame that one in the new frame is; negative where C mirrors through a point. */
  readonly scale: number;
  readonly moves: boolean;
}

/** Radians: what float64 leaves of a turn that is undone, and far below what float32 stores. */
export const TURN_ROUNDING = 1e-6;

/** Share: what float64 leaves of s / s. */
const SCALE_ROUNDING = 1e-12;

/** Share of a length, and of a right angle in radians: as even and square as float32 stores axes. */
export const EVEN = 5e-6;

/** Of a length of 1 in the node's frame: what float64 leaves of a move that is undone. */
const MOVE_ROUNDING = 1e-9;

/** Null where C scales unequally, skews or flattens, so that no shape keeps its form. */
export function frameChange(matrix: Mat4): FrameChange | null {
  const inverse = invert(matrix);
  const axes = [0, 1, 2].map((axis) => column(matrix, axis));
  const sizes = axes.map(length);
  const [least, most] = [Math.min(...sizes), Math.max(...sizes)];
  if (inverse === null || !(most <= least * (1 + EVEN)) || skew(matrix) > EVEN) return null;
  const determinant = determinant3(matrix);
  const size = Math.cbrt(determinant);
  const sign = Math.sign(determinant);
  return {
    inverse,
    turn: quaternionOf(squareAxes(axes.map((axis) => scale(axis, sign)))),
    scale: Math.abs(Math.abs(size) - 1) < SCALE_ROUNDING ? sign : size,
    moves: length(origin(matrix)) > MOVE_ROUNDING,
  };
}

const STILL: Quaternion = [0, 0, 0, 1];

export const UNCHANGED = { inverse: identity(), turn: STILL, scale: 1, moves: false };

/** Whether a rotation turns anything. */
export function turns([x, y, z, w]: Quaternion): boolean {
  return 2 * Math.atan2(Math.hypot(x, y, z), Math.abs(w)) > TURN_ROUNDING;
}

export function restRotation({ matrix, rotation }: NodeJson): Quaternion {
  if (matrix !== undefined) return decompose(Float64Array.from(matrix)).rotation;
  const [x = 0, y = 0, z = 0, w = 1] = rotation ?? [];
  const size = Math.hypot(x, y, z, w);
  return size > 0 ? [x / size, y / size, z / size, w / size] : STILL;
}
