import type { Raster } from './raster.js';
import type { ShownMesh } from './rest-mesh.js';
import type { Projection } from './view.js';

/** Neighbouring faces turned by more than this show a crease. Degrees. */
const CREASE_DEGREES = 50;

/** Depth that jumps by more than this beyond what the faces' own slope gives shows an inner outline. Share of the longer side. */
const JUMP_SHARE = 0.012;

/** Faces with less of themselves towards the viewer crowd at the outline, where creases would run together. */
const EDGE_ON = 0.15;

/** A face seen edge-on says nothing of the next pixel's depth. */
const STEEPEST = 4;

/** Pixels at which the seen surface has a crease or an inner outline: 1 there, else 0. */
export function creasePixels(mesh: ShownMesh, { view }: Projection, raster: Raster): Uint8Array {
  const { width, height, triangle, depth } = raster;
  const out = new Uint8Array(width * height);
  const normals = new NormalCache(mesh, [view.right, view.up, view.toward]);
  const jump = JUMP_SHARE * Math.max(width, height);
  const least = Math.cos((CREASE_DEGREES * Math.PI) / 180);
  for (let y = 0; y + 1 < height; y++) {
    for (let x = 0; x + 1 < width; x++) {
      const at = y * width + x;
      const here = triangle[at] ?? -1;
      if (here === -1) continue;
      for (const [next, across, down] of [
        [at + 1, 1, 0],
        [at + width, 0, 1],
      ] as const) {
        const there = triangle[next] ?? -1;
        if (there === -1 || there === here) continue;
        const rise = (depth[next] ?? 0) - (depth[at] ?? 0);
        const a = normals.of(here);
        const b = normals.of(there);
        const off = Math.min(
          Math.abs(rise - slope(a, across, down)),
          Math.abs(rise - slope(b, across, down)),
        );
        if (off > jump) out[rise > 0 ? next : at] = 1;
        else if (Math.min(a[2], b[2]) > EDGE_ON && dotOf(a, b) < least) out[at] = 1;
      }
    }
  }
  return out;
}

type Normal = readonly [number, number, number];

function dotOf(a: Normal, b: Normal): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** Depth that a face gains over one pixel to the right or down. */
function slope([x, y, z]: Normal, across: number, down: number): number {
  if (z < 1e-6) return 0;
  const gain = (-x * across + y * down) / z;
  return Math.max(-STEEPEST, Math.min(STEEPEST, gain));
}

/** Normals of faces as seen: right, up, towards the viewer, always facing the viewer. */
class NormalCache {
  private readonly known = new Map<number, Normal>();
  private readonly mesh: ShownMesh;
  private readonly axes: readonly (readonly number[])[];

  constructor(mesh: ShownMesh, axes: readonly (readonly number[])[]) {
    this.mesh = mesh;
    this.axes = axes;
  }

  of(triangle: number): Normal {
    const known = this.known.get(triangle);
    if (known !== undefined) return known;
    const made = this.make(triangle);
    this.known.set(triangle, made);
    return made;
  }

  private make(triangle: number): Normal {
    const { positions, triangles } = this.mesh;
    const corner = (which: number): Normal => {
      const at = 3 * (triangles[3 * triangle + which] ?? 0);
      return [positions[at] ?? 0, positions[at + 1] ?? 0, positions[at + 2] ?? 0];
    };
    const [a, b, c] = [corner(0), corner(1), corner(2)];
    const [ux, uy, uz] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
    const [vx, vy, vz] = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
    const world = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const length = Math.hypot(...world);
    if (!(length > 0)) return [0, 0, 1];
    const along = this.axes.map(
      (axis) => axis.reduce((sum, value, at) => sum + value * (world[at] ?? 0), 0) / length,
    );
    const [x = 0, y = 0, z = 1] = along;
    return z < 0 ? [-x, -y, -z] : [x, y, z];
  }
}
