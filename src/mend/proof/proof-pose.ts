import { sampleChannel } from '../../measure/pose/clip-sampling.js';
import { groupBy } from '../../rig/group-by.js';
import { compose, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Clip, ClipChannel, Rig, SkinnedPart } from '../../rig/types.js';
import { MoverTurns } from './proof-bounds.js';
import { Movers, type PartPair } from './proof-movers.js';
import type { Pair } from './proof-seen.js';

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

/** One skin before and the one that took its place, with the matrices of the present pose. */
export class SkinComparison {
  readonly movers = new Movers();
  /** W B of each slot before, and of each after. */
  readonly matrices: Pair<Float64Array>;
  private readonly products: Pair<SkinMatrices>;
  private turning: MoverTurns | null = null;

  /** @param parts All that the skin moves, before and after. */
  constructor(rigs: Pair<Rig>, parts: readonly PartPair[], poses: Pair<SkinPose>) {
    const productsOf = (side: 0 | 1): SkinMatrices => {
      const moved = parts.map(({ before, after }) => (side === 0 ? before : after));
      return new SkinMatrices(rigs[side], moved[0]?.skin ?? 0, usedSlots(moved), poses[side]);
    };
    this.products = [productsOf(0), productsOf(1)];
    this.matrices = [this.products[0].values, this.products[1].values];
  }

  /** Takes the present pose of the rigs. */
  update(): void {
    for (const product of this.products) product.update();
    this.turning = null;
  }

  /** How the movers turn directions in this pose, worked out when it is first needed. */
  turns(): MoverTurns {
    this.turning ??= new MoverTurns(this.movers, ...this.matrices);
    return this.turning;
  }
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
