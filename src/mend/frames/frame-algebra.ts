import type { Axis, Facts } from '../../measure/facts.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import type { Frame } from '../../measure/skeleton/frame.js';
import { determinant3, mat4At } from '../../rig/mat4.js';
import type { Quaternion } from '../../rig/quaternion.js';
import { cross, direction, dot, reject, scale, type Vec3 } from '../../rig/vec3.js';

/** The right-handed frame that has one axis along `aim` and another as near to `up` as can be. */
export function frameFrom(aimAxis: Axis, upAxis: Axis, aim: Vec3, up: Vec3): Frame | null {
  const along = direction(aim);
  const above = along && direction(reject(up, along));
  if (along === null || above === null || aimAxis.index === upAxis.index) return null;
  const axes: [Vec3, Vec3, Vec3] = [along, along, along];
  axes[aimAxis.index] = scale(along, aimAxis.sign);
  axes[upAxis.index] = scale(above, upAxis.sign);
  const third = 3 - aimAxis.index - upAxis.index;
  const [next = along, after = along] = [axes[(third + 1) % 3], axes[(third + 2) % 3]];
  axes[third] = cross(next, after);
  return axes;
}

/** The turn C in the joint's own frame that takes one frame to another: C = A^T B, as a unit quaternion. */
export function turnBetween(from: Frame, to: Frame): Quaternion {
  const m = (row: number, column: number): number =>
    dot(from[row] ?? [0, 0, 0], to[column] ?? [0, 0, 0]);
  const [a, b, c] = [m(0, 0), m(1, 1), m(2, 2)];
  // The largest component is taken from the diagonal, so that nothing is divided by a small number.
  const squares = [1 + a - b - c, 1 - a + b - c, 1 - a - b + c, 1 + a + b + c];
  const largest = squares.indexOf(Math.max(...squares));
  const rows: Quaternion[] = [
    [squares[0] ?? 0, m(1, 0) + m(0, 1), m(0, 2) + m(2, 0), m(2, 1) - m(1, 2)],
    [m(1, 0) + m(0, 1), squares[1] ?? 0, m(2, 1) + m(1, 2), m(0, 2) - m(2, 0)],
    [m(0, 2) + m(2, 0), m(2, 1) + m(1, 2), squares[2] ?? 0, m(1, 0) - m(0, 1)],
    [m(2, 1) - m(1, 2), m(0, 2) - m(2, 0), m(1, 0) - m(0, 1), squares[3] ?? 0],
  ];
  const [x = 0, y = 0, z = 0, w = 1] = rows[largest] ?? [];
  const length = Math.hypot(x, y, z, w);
  return [x / length, y / length, z / length, w / length];
}

export const WHY_MIRRORED = 'its transform mirrors, and no turn can undo that';

/** Whether a joint's frame is left-handed, so that no turn takes it to a wanted one. */
export function mirrors(facts: Facts, joint: number): boolean {
  return determinant3(mat4At(bindPose(facts).world, joint)) < 0;
}
