import { sampleChannel } from '../../measure/pose/clip-sampling.js';
import { groupBy } from '../../rig/group-by.js';
import { compose, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Clip, ClipChannel, Rig, SkinnedPart } from '../../rig/types.js';
import { MoverTurns } from './proof-bounds.js';
import { carry, mapBetween } from './proof-maps.js';
import { Movers, type PartPair, type Slots } from './proof-movers.js';
import type { MoverPair } from './proof-pairs.js';
import type { Pair } from './proof-seen.js';
import { eigenvalues, squareApart } from './proof-turns.js';

interface Moving {
  readonly world: Mat4;
  /** World matrix of the parent; null at the top. */
  readonly parent: Mat4 | null;
  readonly local: Mat4;
  readonly channels: readonly ClipChannel[];
  /** As stored, but for what the channels wrote last: each pose writes the same. */
  readonly sampled: Readonly<Record<ClipChannel['path'], Float64Array>>;
}

/**
 * World matrices of a rig's joints, and of all nodes above them, in one pose after another. Made for
 * thousands of poses: what a clip does not move is worked out once a clip, and no pose takes memory.
 */
export class SkinPose {
  private readonly worlds: Float64Array;
  private readonly views: (Mat4 | undefined)[] = [];
  private readonly needed: number[];
  private moving: Moving[] = [];

  constructor(private readonly rig: Rig) {
    const { parent, order, world } = rig.nodes;
    this.worlds = Float64Array.from(world);
    const needed = new Set<number>();
    for (const node of rig.joints.node)
      for (let at = node; at !== -1 && !needed.has(at); at = parent[at] ?? -1) needed.add(at);
    this.needed = Array.from(order).filter((node) => needed.has(node));
    for (const node of this.needed) this.views[node] = mat4At(this.worlds, node);
  }

  /** World matrix of a needed node; the view changes with the pose. */
  worldOf(node: number): Mat4 {
    return this.views[node] ?? mat4At(this.worlds, node);
  }

  /** Takes the stored pose, and makes ready for a clip; null for a clip that moves nothing of this rig. */
  play(clip: Clip | null): void {
    const { parent, local, world, translation, rotation, scale } = this.rig.nodes;
    this.worlds.set(world);
    this.moving = [];
    if (clip === null) return;
    const byNode = groupBy(clip.channels, ({ node }) => node);
    const moved = new Set<number>();
    for (const node of this.needed) {
      const channels = byNode.get(node) ?? [];
      const above = parent[node] ?? -1;
      if (channels.length === 0 && !moved.has(above)) continue;
      moved.add(node);
      this.moving.push({
        world: this.worldOf(node),
        parent: above === -1 ? null : this.worldOf(above),
        local: channels.length === 0 ? mat4At(local, node) : new Float64Array(16),
        channels,
        sampled: {
          translation: translation.slice(3 * node, 3 * node + 3),
          rotation: rotation.slice(4 * node, 4 * node + 4),
          scale: scale.slice(3 * node, 3 * node + 3),
        },
      });
    }
  }

  /** Moves to a time of the clip that plays. Seconds. */
  seek(time: number): void {
    for (const { world, parent, local, channels, sampled } of this.moving) {
      for (const channel of channels) sampleChannel(channel, time, sampled[channel.path]);
      if (channels.length > 0) compose(sampled.translation, sampled.rotation, sampled.scale, local);
      if (parent === null) world.set(local);
      else multiply(parent, local, world);
    }
  }
}

/** W B of the slots of a skin that move something, in the pose as it is. */
export class SkinMatrices {
  /** Column-major, 16 numbers a slot; zeros for slots that move nothing. */
  readonly values: Float64Array;
  private readonly products: readonly { world: Mat4; inverse: Mat4; out: Mat4 }[];

  constructor(rig: Rig, skin: number, slots: Iterable<number>, pose: SkinPose) {
    const { jointOfSlot = new Int32Array(), inverseBind = new Float64Array() } =
      rig.skins[skin] ?? {};
    this.values = new Float64Array(16 * jointOfSlot.length);
    this.products = Array.from(slots, (slot) => ({
      world: pose.worldOf(rig.joints.node[jointOfSlot[slot] ?? 0] ?? 0),
      inverse: mat4At(inverseBind, slot),
      out: mat4At(this.values, slot),
    }));
  }

  update(): void {
    for (const { world, inverse, out } of this.products) multiply(world, inverse, out);
  }
}

/** What a bound compares: matrices, 16 numbers each, and which of them are each mover's. */
export interface Bounded {
  readonly slots: Slots;
  readonly a: Float64Array;
  readonly b: Float64Array;
}

/** One skin before and the one that took its place, with the matrices of the present pose. */
export class SkinComparison {
  readonly movers = new Movers();
  /** W B of each slot before, and of each after. */
  readonly matrices: Pair<Float64Array>;
  /** The same in the stored pose. */
  readonly stored: Pair<Float64Array>;
  private readonly products: Pair<SkinMatrices>;
  /** By mover, the map between the two as stored. */
  private readonly maps: Float64Array[] = [];
  private bounded: Bounded | null = null;
  private turning: MoverTurns | null = null;
  private stretching: number | null = null;

  /**
   * @param parts All that the skin moves, before and after: all of them of the same shape, or none.
   * @param isReshaped Whether they are none, so that bounds take each mover after its map (`PartMaps`).
   * @param poses In the stored pose.
   */
  constructor(
    rigs: Pair<Rig>,
    parts: readonly PartPair[],
    poses: Pair<SkinPose>,
    readonly isReshaped: boolean,
  ) {
    const productsOf = (side: 0 | 1): SkinMatrices => {
      const moved = parts.map(({ before, after }) => (side === 0 ? before : after));
      return new SkinMatrices(rigs[side], moved[0]?.skin ?? 0, usedSlots(moved), poses[side]);
    };
    this.products = [productsOf(0), productsOf(1)];
    this.matrices = [this.products[0].values, this.products[1].values];
    this.update();
    this.stored = isReshaped ? [this.matrices[0].slice(), this.matrices[1].slice()] : this.matrices;
  }

  /** Takes the present pose of the rigs. */
  update(): void {
    for (const product of this.products) product.update();
    this.bounded = null;
    this.turning = null;
    this.stretching = null;
  }

  /** The map of a mover: what is done before the matrix after, so that both are the same as stored. */
  mapOf(mover: number): Float64Array {
    const known = this.maps[mover];
    if (known !== undefined) return known;
    const map = new Float64Array(12);
    const [m, n] = [new Float64Array(12), new Float64Array(12)];
    takeRows(this.stored[0], this.movers.before[mover] ?? 0, m);
    takeRows(this.stored[1], this.movers.after[mover] ?? 0, n);
    mapBetween(m, n, map);
    this.maps[mover] = map;
    return map;
  }

  /** What bounds compare in this pose. */
  bound(): Bounded {
    this.bounded ??= this.isReshaped
      ? this.carried()
      : { slots: this.movers, a: this.matrices[0], b: this.matrices[1] };
    return this.bounded;
  }

  /** How the movers turn directions in this pose, worked out when it is first needed. */
  turns(): MoverTurns {
    if (this.turning === null) {
      const { slots, a, b } = this.bound();
      this.turning = new MoverTurns(slots, a, b);
    }
    return this.turning;
  }

  /** The most that a mover makes of a unit vector in this pose, before or after. */
  stretch(): number {
    if (this.stretching !== null) return this.stretching;
    let square = 0;
    // Once NaN it stays so.
    for (const [side, slots] of [this.movers.before, this.movers.after].entries())
      for (const slot of slots)
        square = Math.max(
          square,
          eigenvalues(this.matrices[side === 0 ? 0 : 1], 16 * slot, -1).most,
        );
    this.stretching = Math.sqrt(square);
    return this.stretching;
  }

  /** The most that two movers take a unit vector apart from each other afterwards, in this pose. */
  spread({ a, b }: MoverPair): number {
    if (a === b) return 0;
    const { after } = this.movers;
    const [, now] = this.matrices;
    return Math.sqrt(squareApart(now, 16 * (after[a] ?? 0), now, 16 * (after[b] ?? 0)));
  }

  private carried(): Bounded {
    const { before, after, count } = this.movers;
    const b = new Float64Array(16 * count);
    const [n, product] = [new Float64Array(12), new Float64Array(12)];
    for (const [mover, slot] of after.entries()) {
      takeRows(this.matrices[1], slot, n);
      carry(n, this.mapOf(mover), 0, product);
      for (let at = 0; at < 12; at++)
        b[16 * mover + 4 * Math.floor(at / 3) + (at % 3)] = product[at] ?? 0;
    }
    return { slots: { before, after: [...after.keys()], count }, a: this.matrices[0], b };
  }
}

/** The upper three rows of a slot's matrix, column by column. */
function takeRows(matrices: Float64Array, slot: number, out: Float64Array): void {
  for (let column = 0; column < 4; column++)
    for (let row = 0; row < 3; row++)
      out[3 * column + row] = matrices[16 * slot + 4 * column + row] ?? 0;
}

/** In order. (Going through all slots that there may be, for each of a thousand skins, was half of a mend.) */
function usedSlots(parts: readonly SkinnedPart[]): number[] {
  const isUsed = new Uint8Array(65_536);
  const used: number[] = [];
  for (const { slots, weights } of parts)
    for (let k = 0; k < weights.length; k++) {
      const slot = slots[k] ?? 0;
      if (weights[k] === 0 || isUsed[slot] === 1) continue;
      isUsed[slot] = 1;
      used.push(slot);
    }
  return used.sort((a, b) => a - b);
}
