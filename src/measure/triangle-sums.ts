import type { SkinnedPart } from '../rig/types.js';
import type { Vec3 } from '../rig/vec3.js';
import { fact } from './facts.js';

/** Sums over the triangles of one part, about its `apex`, in the frame its positions are in. */
export interface TriangleSums {
  /** Six times the signed volume, and its moments times four. */
  readonly volume: number;
  readonly byVolume: Vec3;
  /** Twice the area, and its moments times three. */
  readonly area: number;
  readonly byArea: Vec3;
  /** 0 when every edge is run through once each way. */
  readonly open: number;
}

const NOTHING: TriangleSums = {
  volume: 0,
  byVolume: [0, 0, 0],
  area: 0,
  byArea: [0, 0, 0],
  open: 0,
};

/** One pass over the triangles of a rig's parts, each in its mesh's own frame. */
export interface MeshTriangles {
  readonly sums: TriangleSums;
  /** Where the sums are taken about: the part's first vertex, near its mesh. */
  readonly apex: Vec3;
  /** A third of the area of each vertex's triangles. Points and lines have none. */
  readonly vertexArea: Float32Array;
}

export const meshTriangles = fact(({ rig }): readonly MeshTriangles[] => {
  return rig.parts.map(({ triangles, positions, vertexCount }) => {
    const apex: Vec3 = [positions[0] ?? 0, positions[1] ?? 0, positions[2] ?? 0];
    const vertexArea = new Float32Array(vertexCount);
    return { sums: sumTriangles({ triangles }, positions, apex, vertexArea), apex, vertexArea };
  });
});

/**
 * The hot loop: its sums are plain locals, since captured ones would be allocated at every step.
 *
 * @param vertexArea Gains a third of the area of each triangle at its three vertices.
 */
export function sumTriangles(
  { triangles }: Pick<SkinnedPart, 'triangles'>,
  p: Float32Array,
  apex: Vec3,
  vertexArea: Float32Array,
): TriangleSums {
  if (triangles === null) return NOTHING;
  const keys = weldKeys(p);
  const [ox, oy, oz] = apex;
  let volume = 0;
  let vx = 0;
  let vy = 0;
  let vz = 0;
  let area = 0;
  let sx = 0;
  let sy = 0;
  let sz = 0;
  let open = 0;
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
    const ha = keys.first[a] ?? 0;
    const hb = keys.first[b] ?? 0;
    const hc = keys.first[c] ?? 0;
    const ga = keys.second[a] ?? 0;
    const gb = keys.second[b] ?? 0;
    const gc = keys.second[c] ?? 0;
    open = (open + edge(ha, hb, ga, gb) + edge(hb, hc, gb, gc) + edge(hc, ha, gc, ga)) | 0;
  }
  return { volume, byVolume: [vx, vy, vz], area, byArea: [sx, sy, sz], open };
}

/*
 * Closed without a table of edges. Give every directed edge a number f(a, b) = -f(b, a) made from
 * two hashes of its ends' places; in a closed mesh each edge is run through once each way, so the
 * sum over all edges is 0 (modulo 2^32). An open mesh gives 0 by chance once in 2^32. It takes two
 * numbers a vertex and no look-ups, where a table of edges takes many of both.
 */
function edge(ha: number, hb: number, ga: number, gb: number): number {
  return (Math.imul(ha, gb) - Math.imul(hb, ga)) | 0;
}

/** Mixes the bits of a whole number (the steps of a common integer hash). */
function scramble(value: number): number {
  let h = Math.imul(value ^ (value >>> 15), 0x2c1b3c6d);
  h = Math.imul(h ^ (h >>> 12), 0x297a2d39);
  return h ^ (h >>> 15);
}

/** Two numbers a vertex, the same for vertices at the same place: seams of normals and UVs are welded. */
function weldKeys(positions: Float32Array): { first: Int32Array; second: Int32Array } {
  const bits = new Int32Array(positions.buffer, positions.byteOffset, positions.length);
  const first = new Int32Array(positions.length / 3);
  const second = new Int32Array(positions.length / 3);
  for (let vertex = 0; vertex < first.length; vertex++) {
    const at = 3 * vertex;
    // Minus zero has other bits than zero, at the same place.
    const x = positions[at] === 0 ? 0 : (bits[at] ?? 0);
    const y = positions[at + 1] === 0 ? 0 : (bits[at + 1] ?? 0);
    const z = positions[at + 2] === 0 ? 0 : (bits[at + 2] ?? 0);
    const h = scramble(scramble(scramble(x + 0x9e3779b9) ^ y) ^ z);
    first[vertex] = h;
    second[vertex] = scramble(h + 0x5bd1e995);
  }
  return { first, second };
}
