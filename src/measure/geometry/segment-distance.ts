import type { Vec3 } from '../../rig/vec3.js';

/** Distance from a point to the straight line between two others, ends included. */
export function distanceToSegment(p: Vec3, from: Vec3, to: Vec3): number {
  const dx = to[0] - from[0];
  const dy = to[1] - from[1];
  const dz = to[2] - from[2];
  const square = dx * dx + dy * dy + dz * dz;
  const along = (p[0] - from[0]) * dx + (p[1] - from[1]) * dy + (p[2] - from[2]) * dz;
  const t = square > 0 ? Math.min(1, Math.max(0, along / square)) : 0;
  return Math.hypot(p[0] - from[0] - t * dx, p[1] - from[1] - t * dy, p[2] - from[2] - t * dz);
}
