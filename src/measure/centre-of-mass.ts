import type { SkinnedPart } from '../rig/types.js';
import type { Vec3 } from '../rig/vec3.js';
import { bindMesh } from './bind-mesh.js';
import { fact } from './facts.js';

/** The centre of mass of the bind-posed mesh, world space. */
export interface CentreOfMass {
  readonly place: Vec3;
  /** Whether it is that of the volume (closed mesh) or of the surface. */
  readonly of: 'volume' | 'surface';
}

/**
 * Of the volume when the mesh is closed: signed tetrahedra from one point, each with its centroid
 * (Mirtich 1996 in its simplest form). Else of the surface: triangles by area. Null without area.
 */
export const centreOfMass = fact((facts): CentreOfMass | null => {
  const { positions, centre } = bindMesh(facts);
  return centreOfTriangles(facts.rig.parts, positions, centre);
});

/** The same for any triangles. `apex` is where the tetrahedra meet: a point near the mesh keeps digits. */
export function centreOfTriangles(
  parts: readonly Pick<SkinnedPart, 'triangles'>[],
  positions: readonly Float32Array[],
  apex: Vec3,
): CentreOfMass | null {
  let [volume, vx, vy, vz] = [0, 0, 0, 0];
  let [area, sx, sy, sz] = [0, 0, 0, 0];
  let [open1, open2] = [0, 0];
  parts.forEach(({ triangles }, index) => {
    const p = positions[index];
    if (triangles === null || p === undefined) return;
    const keys = weldKeys(p);
    for (let i = 0; i + 2 < triangles.length; i += 3) {
      const [a, b, c] = [triangles[i] ?? 0, triangles[i + 1] ?? 0, triangles[i + 2] ?? 0];
      const ax = (p[3 * a] ?? 0) - apex[0];
      const ay = (p[3 * a + 1] ?? 0) - apex[1];
      const az = (p[3 * a + 2] ?? 0) - apex[2];
      const bx = (p[3 * b] ?? 0) - apex[0];
      const by = (p[3 * b + 1] ?? 0) - apex[1];
      const bz = (p[3 * b + 2] ?? 0) - apex[2];
      const cx = (p[3 * c] ?? 0) - apex[0];
      const cy = (p[3 * c + 1] ?? 0) - apex[1];
      const cz = (p[3 * c + 2] ?? 0) - apex[2];
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
      sx += double * (ax + bx + cx);
      sy += double * (ay + by + cy);
      sz += double * (az + bz + cz);
      const [ha, hb, hc] = [keys[a] ?? 0, keys[b] ?? 0, keys[c] ?? 0];
      const [ga, gb, gc] = [scramble(ha), scramble(hb), scramble(hc)];
      open1 = (open1 + edge(ha, hb, ga, gb) + edge(hb, hc, gb, gc) + edge(hc, ha, gc, ga)) | 0;
      open2 =
        (open2 +
          edge(ha ^ SALT, hb ^ SALT, gb, ga) +
          edge(hb ^ SALT, hc ^ SALT, gc, gb) +
          edge(hc ^ SALT, ha ^ SALT, ga, gc)) |
        0;
    }
  });
  const span = Math.sqrt(area);
  const closed = open1 === 0 && open2 === 0;
  // A closed mesh without volume (a card with two sides) has no centre of volume either.
  if (closed && Math.abs(volume) > 1e-6 * span * span * span) {
    const d = 4 * volume;
    return { place: [apex[0] + vx / d, apex[1] + vy / d, apex[2] + vz / d], of: 'volume' };
  }
  if (!(area > 0)) return null;
  const d = 3 * area;
  return { place: [apex[0] + sx / d, apex[1] + sy / d, apex[2] + sz / d], of: 'surface' };
}

/*
 * Closed without a table of edges. Give every directed edge a number f(a, b) = -f(b, a) made from
 * hashes of its ends' places; in a closed mesh each edge is run through once each way, so the sum
 * over all edges is 0 (modulo 2^32). Two such sums miss an open edge about once in 2^64. It
 * takes no memory and no look-ups, where a table of edges takes both.
 */
const SALT = 0x5bd1e995;

function edge(ha: number, hb: number, ga: number, gb: number): number {
  return (Math.imul(ha, gb) - Math.imul(hb, ga)) | 0;
}

function scramble(value: number): number {
  let h = Math.imul(value ^ (value >>> 15), 0x2c1b3c6d);
  h = Math.imul(h ^ (h >>> 12), 0x297a2d39);
  return h ^ (h >>> 15);
}

/** One number a vertex, the same for vertices at the same place: seams of normals and UVs are welded. */
function weldKeys(positions: Float32Array): Int32Array {
  const bits = new Int32Array(positions.buffer, positions.byteOffset, positions.length);
  const keys = new Int32Array(positions.length / 3);
  for (let vertex = 0; vertex < keys.length; vertex++) {
    let h = 0x9e3779b9 | 0;
    for (let part = 0; part < 3; part++) {
      // Minus zero has other bits than zero, at the same place.
      const raw = positions[3 * vertex + part] === 0 ? 0 : (bits[3 * vertex + part] ?? 0);
      h = scramble(Math.imul(h ^ raw, 0x85ebca6b) + part);
    }
    keys[vertex] = h;
  }
  return keys;
}
