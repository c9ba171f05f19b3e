import type { Vec3 } from '../../rig/vec3.js';

/** Directions of a joint's X, Y and Z axis in the bind pose; world space, unit length. */
export type Frame = readonly [Vec3, Vec3, Vec3];
