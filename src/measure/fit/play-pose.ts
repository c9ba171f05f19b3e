import { groupBy } from '../../rig/group-by.js';
import type { NodeTable } from '../../rig/types.js';
import type { Track } from './clip-carry.js';

/** A node whose tracks set its local matrix anew at each time. */
interface Moved {
  readonly slot: number;
  readonly node: number;
  readonly tracks: readonly Track[];
}

/**
 * World matrices of some nodes at one time of a clip after the other: what `ClipPose` gives, for many
 * nodes at very many times. Both rigs are posed by values that are sampled once, all matrices lie in one
 * array and are multiplied in place, and what no track moves is done once: with 300 joints in less than
 * half of the time.
 */
export class PlayPose {
  /** 16 numbers a slot: where they begin for each node, -1 for nodes that were not asked for. */
  readonly world: Float64Array;
  readonly offsetOf: Int32Array;
  private readonly local: Float64Array;
  /** Slot of each slot's parent, -1 at the top. */
  private readonly parent: Int32Array;
  private readonly moved: readonly Moved[];
  /** Slots that are moved, themselves or by one above, parents first. */
  private readonly following: Int32Array;
  private readonly taken = {
    translation: new Float64Array(4),
    rotation: new Float64Array(4),
    scale: new Float64Array(4),
  };

  constructor(
    private readonly nodes: NodeTable,
    tracks: readonly Track[],
    asked: Iterable<number>,
  ) {
    const slots = withAbove(nodes, asked);
    const slotOf = new Int32Array(nodes.count).fill(-1);
    for (const [slot, node] of slots.entries()) slotOf[node] = slot;
    this.offsetOf = slotOf.map((slot) => (slot === -1 ? -1 : 16 * slot));
    this.parent = Int32Array.from(slots, (node) => slotOf[nodes.parent[node] ?? -1] ?? -1);
    this.local = new Float64Array(16 * slots.length);
    this.world = new Float64Array(16 * slots.length);
    for (const [slot, node] of slots.entries())
      this.local.set(nodes.local.subarray(16 * node, 16 * node + 16), 16 * slot);
    this.moved = [...groupBy(tracks, ({ node }) => node)].flatMap(([node, ofNode]) => {
      const slot = slotOf[node] ?? -1;
      return slot === -1 ? [] : [{ slot, node, tracks: ofNode }];
    });
    const follows = new Uint8Array(slots.length);
    for (const { slot } of this.moved) follows[slot] = 1;
    for (let slot = 0; slot < slots.length; slot++) {
      if (follows[this.parent[slot] ?? -1] === 1) follows[slot] = 1;
      this.place(slot);
    }
    this.following = Int32Array.from(slots.keys()).filter((slot) => follows[slot] === 1);
  }

  /** Poses all nodes that were asked for by the values of the clip's channels, 4 numbers each. */
  pose(values: Float64Array): void {
    for (const moved of this.moved) this.take(moved, values);
    for (const slot of this.following) this.place(slot);
  }

  private take({ slot, node, tracks }: Moved, values: Float64Array): void {
    const { nodes, taken } = this;
    const { translation: t, rotation: r, scale: s } = taken;
    for (let axis = 0; axis < 3; axis++) {
      t[axis] = nodes.translation[3 * node + axis] ?? 0;
      s[axis] = nodes.scale[3 * node + axis] ?? 1;
    }
    for (let part = 0; part < 4; part++) r[part] = nodes.rotation[4 * node + part] ?? 0;
    for (const { channel, path, factor } of tracks) {
      const into = taken[path];
      for (let i = 0; i < 4; i++) into[i] = factor * (values[4 * channel + i] ?? 0);
    }
    composeAt(this.local, 16 * slot, t, r, s);
  }

  /** World = world of the parent x local. */
  private place(slot: number): void {
    const { world, local } = this;
    const to = 16 * slot;
    const above = this.parent[slot] ?? -1;
    if (above === -1) for (let i = 0; i < 16; i++) world[to + i] = local[to + i] ?? 0;
    else multiplyAt(world, 16 * above, local, to);
  }
}

/** Nodes and all above them, parents first. */
function withAbove({ parent, order, count }: NodeTable, asked: Iterable<number>): number[] {
  const wanted = new Uint8Array(count);
  for (const node of asked)
    for (let at = node; at !== -1 && wanted[at] !== 1; at = parent[at] ?? -1) wanted[at] = 1;
  return Array.from(order).filter((node) => wanted[node] === 1);
}

type Numbers = Float64Array;

/** T x R x S (glTF 2.0, 3.5.3 Transformations) of a unit quaternion x, y, z, w, at a place of an array. */
function composeAt(out: Numbers, at: number, t: Numbers, r: Numbers, s: Numbers): void {
  const [x = 0, y = 0, z = 0, w = 1] = r;
  const [sx = 1, sy = 1, sz = 1] = s;
  out[at] = (1 - 2 * (y * y + z * z)) * sx;
  out[at + 1] = 2 * (x * y + w * z) * sx;
  out[at + 2] = 2 * (x * z - w * y) * sx;
  out[at + 3] = 0;
  out[at + 4] = 2 * (x * y - w * z) * sy;
  out[at + 5] = (1 - 2 * (x * x + z * z)) * sy;
  out[at + 6] = 2 * (y * z + w * x) * sy;
  out[at + 7] = 0;
  out[at + 8] = 2 * (x * z + w * y) * sz;
  out[at + 9] = 2 * (y * z - w * x) * sz;
  out[at + 10] = (1 - 2 * (x * x + y * y)) * sz;
  out[at + 11] = 0;
  out[at + 12] = t[0] ?? 0;
  out[at + 13] = t[1] ?? 0;
  out[at + 14] = t[2] ?? 0;
  out[at + 15] = 1;
}

/** world[to] = world[above] x local[to], column-major; the last row of such matrices is 0 0 0 1. */
function multiplyAt(world: Numbers, above: number, local: Numbers, to: number): void {
  const a = (i: number): number => world[above + i] ?? 0;
  const [a0, a1, a2, a4, a5, a6] = [a(0), a(1), a(2), a(4), a(5), a(6)];
  const [a8, a9, a10, a12, a13, a14] = [a(8), a(9), a(10), a(12), a(13), a(14)];
  for (let column = 0; column < 16; column += 4) {
    const x = local[to + column] ?? 0;
    const y = local[to + column + 1] ?? 0;
    const z = local[to + column + 2] ?? 0;
    const w = local[to + column + 3] ?? 0;
    world[to + column] = a0 * x + a4 * y + a8 * z + a12 * w;
    world[to + column + 1] = a1 * x + a5 * y + a9 * z + a13 * w;
    world[to + column + 2] = a2 * x + a6 * y + a10 * z + a14 * w;
    world[to + column + 3] = w;
  }
}
