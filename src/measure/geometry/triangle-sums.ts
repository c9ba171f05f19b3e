import type { SkinnedPart } from '../../rig/types.js';
import { type Vec3, vec3At } from '../../rig/vec3.js';
import { fact } from '../facts.js';

/** Sums over the triangles of one part, about its `apex`, in its mesh's own frame. */
interface MeshTriangles {
  /** Six times the signed volume, and its moments times four. */
  readonly volume: number;
  readonly byVolume: Vec3;
  /** Twice the area, and its moments times three. */
  readonly area: number;
  readonly byArea: Vec3;
  /** The part's first vertex, near its mesh. */
  readonly apex: Vec3;
  /** A third of the area of each vertex's triangles. Points and lines have none. */
  readonly vertexArea: Float64Array;
}

export const meshTriangles = fact(({ rig }) => rig.parts.map(sumTriangles));

/** The hot loop: its sums are plain locals, since captured ones would be allocated at each step. */
function sumTriangles(part: SkinnedPart): MeshTriangles {
  const p = part.positions;
  const triangles = part.triangles ?? new Uint8Array(0);
  const vertexArea = new Float64Array(part.vertexCount);
  const apex = vec3At(p, 0);
  const [ox, oy, oz] = apex;
  let [volume, vx, vy, vz] = [0, 0, 0, 0];
  let [area, sx, sy, sz] = [0, 0, 0, 0];
  for (let i = 0; i + 2 < triangles.length; i += 3) {
    const a = triangles[i] ?? 0;
    const b = triangles[i + 1] ?? 0;
    const c = triangles[i + 2] ?? 0;
    const ax = (p[3 * a] ?? 0) - ox;
    const ay = (p[3 * a + 1] ?? 0) - oy;
    const az = (p[3 * a + 2] ?? 0) - oz;
    const bx = (p[3 * b] ?? 0) - ox;
    const by = (p[3 * b + 1] ?? 0) - oy;
    const bz = (p[3 * b + 2] ?? 0) - oz;
    const cx = (p[3 * c] ?? 0) - ox;
    const cy = (p[3 * c + 1] ?? 0) - oy;
    const cz = (p[3 * c + 2] ?? 0) - oz;
    const nx = (by - ay) * (cz - az) - (bz - az) * (cy - ay);
    const ny = (bz - az) * (cx - ax) - (bx - ax) * (cz - az);
    const nz = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
    const six = ax * nx + ay * ny + az * nz;
    volume += six;
    vx += six * (ax + bx + cx);
    vy += six * (ay + by + cy);
    vz += six * (az + bz + cz);
    const double = Math.sqrt(nx * nx + ny * ny + nz * nz);
    area += double;
    const third = double / 6;
    vertexArea[a] = (vertexArea[a] ?? 0) + third;
    vertexArea[b] = (vertexArea[b] ?? 0) + third;
    vertexArea[c] = (vertexArea[c] ?? 0) + third;
    sx += double * (ax + bx + cx);
    sy += double * (ay + by + cy);
    sz += double * (az + bz + cz);
  }
  return { volume, byVolume: [vx, vy, vz], area, byArea: [sx, sy, sz], apex, vertexArea };
}
