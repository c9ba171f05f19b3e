import { cross, subtract, vec3At } from '../../rig/vec3.js';

/**
 * A normal a vertex: the sum over the triangles around its place, larger ones counting for more. Files
 * split vertices where a texture is cut; such seams are no edges of the shape, so vertices at one stored
 * place share a normal.
 */
export function smoothNormals(
  stored: ArrayLike<number>,
  positions: Float32Array,
  triangles: ArrayLike<number>,
): Float32Array<ArrayBuffer> {
  const places = samePlaces(stored);
  const sums = new Float64Array(positions.length);
  for (let t = 0; t + 2 < triangles.length; t += 3) {
    const corners = vec3At(triangles, t / 3);
    const [i, j, k] = corners;
    const a = vec3At(positions, i);
    const [x, y, z] = cross(subtract(vec3At(positions, j), a), subtract(vec3At(positions, k), a));
    for (const corner of corners) {
      const start = 3 * (places[corner] ?? 0);
      sums[start] = (sums[start] ?? 0) + x;
      sums[start + 1] = (sums[start + 1] ?? 0) + y;
      sums[start + 2] = (sums[start + 2] ?? 0) + z;
    }
  }
  const normals = new Float32Array(positions.length);
  places.forEach((place, vertex) => {
    const [x, y, z] = vec3At(sums, place);
    const size = Math.hypot(x, y, z);
    if (size > 0) normals.set([x / size, y / size, z / size], 3 * vertex);
  });
  return normals;
}

/** For each vertex the first one at its place. */
function samePlaces(stored: ArrayLike<number>): Uint32Array {
  const places = new Uint32Array(Math.floor(stored.length / 3));
  const first = new Map<number, number>();
  for (let vertex = 0; vertex < places.length; vertex++) {
    const [x, y, z] = vec3At(stored, vertex);
    // Three coordinates of 16 bits fit a whole number of 53.
    const key = (x * 65_536 + y) * 65_536 + z;
    const same = first.get(key);
    if (same === undefined) first.set(key, vertex);
    places[vertex] = same ?? vertex;
  }
  return places;
}
