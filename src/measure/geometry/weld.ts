/**
 * Per point (x, y, z each) the lowest index of a point at the very same place: seams of normals and
 * UVs and the ends of neighbouring cuts meet. Zero and minus zero are one place.
 */
export function weld(points: Float32Array): Int32Array {
  const count = points.length / 3;
  let room = 16;
  while (room < 2 * count) room *= 2;
  const heads = new Int32Array(room);
  const bits = new Int32Array(points.buffer, points.byteOffset, points.length);
  const same = new Int32Array(count);
  for (let i = 0; i < count; i++) {
    const at = 3 * i;
    const x = points[at] === 0 ? 0 : (bits[at] ?? 0);
    const y = points[at + 1] === 0 ? 0 : (bits[at + 1] ?? 0);
    const z = points[at + 2] === 0 ? 0 : (bits[at + 2] ?? 0);
    // Mixed in one after the other: neighbours on a lattice must not share a slot.
    let h = Math.imul(x, 0x2c1b3c6d);
    h = Math.imul(h ^ (h >>> 15) ^ y, 0x297a2d39);
    h = Math.imul(h ^ (h >>> 15) ^ z, 0x85ebca6b);
    h ^= h >>> 13;
    let slot = h & (room - 1);
    let other = (heads[slot] ?? 0) - 1;
    // Compared by bits: what is no number never equals itself, and a heap of those must be one place.
    for (; other !== -1; other = (heads[slot] ?? 0) - 1) {
      const o = 3 * other;
      if (
        x === (points[o] === 0 ? 0 : bits[o]) &&
        y === (points[o + 1] === 0 ? 0 : bits[o + 1]) &&
        z === (points[o + 2] === 0 ? 0 : bits[o + 2])
      )
        break;
      slot = (slot + 1) & (room - 1);
    }
    if (other === -1) heads[slot] = i + 1;
    same[i] = other === -1 ? i : other;
  }
  return same;
}
