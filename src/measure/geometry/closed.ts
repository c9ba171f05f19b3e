import { fact } from '../facts.js';

/**
 * Whether the meshes of a rig, taken together, are closed: every edge is run through once each way.
 * Vertices at one place are one; seams between meshes only close when both are stored in one frame.
 *
 * Every directed edge gets a number f(a, b) = -f(b, a) from two hashes of its ends' places: over a
 * closed mesh they sum to 0 (modulo 2^32). An open mesh gives 0 by chance once in 2^32. It takes
 * two numbers a vertex and no look-ups, where a table of edges takes many of both.
 */
export const isClosed = fact(({ rig }): boolean => {
  const open = rig.parts.map(({ triangles, positions }) => {
    return triangles === null ? 0 : openEdges(triangles, weldKeys(positions));
  });
  return open.reduce((sum, number) => (sum + number) | 0, 0) === 0;
});

function openEdges(
  triangles: ArrayLike<number>,
  { first, second }: ReturnType<typeof weldKeys>,
): number {
  let open = 0;
  for (let i = 0; i + 2 < triangles.length; i += 3) {
    const a = triangles[i] ?? 0;
    const b = triangles[i + 1] ?? 0;
    const c = triangles[i + 2] ?? 0;
    const ha = first[a] ?? 0;
    const hb = first[b] ?? 0;
    const hc = first[c] ?? 0;
    const ga = second[a] ?? 0;
    const gb = second[b] ?? 0;
    const gc = second[c] ?? 0;
    open = (open + edge(ha, hb, ga, gb) + edge(hb, hc, gb, gc) + edge(hc, ha, gc, ga)) | 0;
  }
  return open;
}

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
