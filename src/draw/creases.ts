import { cross, dot, length, radians, subtract, type Vec3, vec3At } from '../rig/vec3.js';
import type { Raster } from './raster.js';
import type { ShownMesh } from './rest-mesh.js';
import type { Projection, View } from './view.js';

/** Neighbouring faces turned by more than this show a crease. Degrees. */
const CREASE_DEGREES = 50;
/** A larger jump of depth, beyond the slope of the faces, is an inner outline. Share of the longer side. */
const JUMP_SHARE = 0.012;
/** Faces turned away more than this crowd at the outline, where creases would run together. */
const EDGE_ON = 0.15;
/** Bound of a slope: a face seen edge-on does not tell the depth of the next pixel. */
const STEEPEST = 4;

/** Pixels at which the seen surface has a crease or an inner outline: 1 there, else 0. */
export function creasePixels(mesh: ShownMesh, { view }: Projection, raster: Raster): Uint8Array {
  const { width, height, triangle, depth } = raster;
  const out = new Uint8Array(width * height);
  const normalOf = seenNormals(mesh, view);
  const jump = JUMP_SHARE * Math.max(width, height);
  const least = Math.cos(radians(CREASE_DEGREES));
  for (let y = 0; y + 1 < height; y++) {
    for (let x = 0; x + 1 < width; x++) {
      const pixel = y * width + x;
      const here = triangle[pixel] ?? -1;
      if (here === -1) continue;
      for (const [across, down] of [[1, 0] as const, [0, 1] as const]) {
        const next = pixel + across + down * width;
        const there = triangle[next] ?? -1;
        if (there === -1 || there === here) continue;
        const rise = (depth[next] ?? 0) - (depth[pixel] ?? 0);
        const [a, b] = [normalOf(here), normalOf(there)];
        const off = Math.min(
          Math.abs(rise - slope(a, across, down)),
          Math.abs(rise - slope(b, across, down)),
        );
        if (off > jump) out[rise > 0 ? next : pixel] = 1;
        else if (Math.min(a[2], b[2]) > EDGE_ON && dot(a, b) < least) out[pixel] = 1;
      }
    }
  }
  return out;
}

/** Depth that a face gains over one pixel to the right or down. */
function slope([x, y, z]: Vec3, across: number, down: number): number {
  if (z < 1e-6) return 0;
  const gain = (-x * across + y * down) / z;
  return Math.max(-STEEPEST, Math.min(STEEPEST, gain));
}

/** Normals of faces as seen (right, up, towards the viewer, which they face), each made once. */
function seenNormals({ positions, triangles }: ShownMesh, view: View): (face: number) => Vec3 {
  const corner = (index: number): Vec3 => vec3At(positions, triangles[index] ?? 0);
  const make = (face: number): Vec3 => {
    const a = corner(3 * face);
    const normal = cross(subtract(corner(3 * face + 1), a), subtract(corner(3 * face + 2), a));
    const size = length(normal);
    if (!(size > 0)) return [0, 0, 1];
    const along = (axis: Vec3): number => dot(axis, normal) / size;
    const [x, y, z] = [along(view.right), along(view.up), along(view.toward)];
    return z < 0 ? [-x, -y, -z] : [x, y, z];
  };
  const normals = new Map<number, Vec3>();
  return (face) => {
    const normal = normals.get(face) ?? make(face);
    normals.set(face, normal);
    return normal;
  };
}
