import { distance, type Vec3, vec3At } from './vec3.js';

/** A box along the axes of the space its points are in. */
export interface Box {
  readonly min: Vec3;
  readonly max: Vec3;
}

/** The eight corners: with bits 1, 2 and 4 of its number a corner is at the far end of X, Y and Z. */
export function cornersOf({ min, max }: Box): Vec3[] {
  return [
    [min[0], min[1], min[2]],
    [max[0], min[1], min[2]],
    [min[0], max[1], min[2]],
    [max[0], max[1], min[2]],
    [min[0], min[1], max[2]],
    [max[0], min[1], max[2]],
    [min[0], max[1], max[2]],
    [max[0], max[1], max[2]],
  ];
}

/** The box around points; from Infinity to -Infinity around none. */
export function boxAround(points: Iterable<Vec3>): Box {
  let [x0, y0, z0] = [Infinity, Infinity, Infinity];
  let [x1, y1, z1] = [-Infinity, -Infinity, -Infinity];
  for (const [x, y, z] of points) {
    [x0, y0, z0] = [Math.min(x0, x), Math.min(y0, y), Math.min(z0, z)];
    [x1, y1, z1] = [Math.max(x1, x), Math.max(y1, y), Math.max(z1, z)];
  }
  return { min: [x0, y0, z0], max: [x1, y1, z1] };
}

export function diagonal({ min, max }: Box): number {
  return distance(min, max);
}

/** The box at element `index` of a packed array, its least x, y, z and its most; null where it is empty. */
export function boxAt(array: Float64Array | undefined, index: number): Box | null {
  if (array === undefined) return null;
  const [min, max] = [vec3At(array, 2 * index), vec3At(array, 2 * index + 1)];
  return min[0] <= max[0] ? { min, max } : null;
}
