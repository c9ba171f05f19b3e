import { add, cross, direction, scale, type Vec3 } from './vec3.js';

/** x, y, z, w; of unit length, as in glTF 2.0. */
export type Quaternion = readonly [number, number, number, number];

/** A turn by an angle in radians about a unit vector. */
export function aboutAxis(axis: Vec3, angle: number): Quaternion {
  const sine = Math.sin(angle / 2);
  return [axis[0] * sine, axis[1] * sine, axis[2] * sine, Math.cos(angle / 2)];
}

/** The turn back, of a unit quaternion. */
export function conjugate([x, y, z, w]: Quaternion): Quaternion {
  return [-x, -y, -z, w];
}

/** a after b: first turned by `b`, then by `a` (Hamilton product). */
export function multiplyQuaternions(a: Quaternion, b: Quaternion): Quaternion {
  const [ax, ay, az, aw] = a;
  const [bx, by, bz, bw] = b;
  return [
    aw * bx + ax * bw + ay * bz - az * by,
    aw * by - ax * bz + ay * bw + az * bx,
    aw * bz + ax * by - ay * bx + az * bw,
    aw * bw - ax * bx - ay * by - az * bz,
  ];
}

/** Turns a vector: v + 2 w (q x v) + 2 q x (q x v). */
export function rotate(q: Quaternion, v: Vec3): Vec3 {
  const axis: Vec3 = [q[0], q[1], q[2]];
  const once = scale(cross(axis, v), 2);
  return add(add(v, scale(once, q[3])), cross(axis, once));
}

/** The axis about which a rotation turns by half a turn or less, right-handed; null for none. */
export function turnAxis([x, y, z, w]: Quaternion): Vec3 | null {
  const sign = w < 0 ? -1 : 1;
  return direction([sign * x, sign * y, sign * z]);
}
