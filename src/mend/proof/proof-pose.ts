import { sampleChannel } from '../../measure/pose/clip-sampling.js';
import { compose, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Clip, ClipChannel, Rig } from '../../rig/types.js';

interface Moving {
  readonly node: number;
  readonly world: Mat4;
  /** World matrix of the parent; null at the top. */
  readonly parent: Mat4 | null;
  readonly local: Mat4;
  readonly channels: readonly ClipChannel[];
}

/**
 * World matrices of the nodes that move skin, and of all above them, in one pose after another. Made for
 * thousands of poses: what a clip does not move is worked out once a clip, and no pose takes memory.
 */
export class SkinPose {
  private readonly worlds: Float64Array;
  private readonly views: (Mat4 | undefined)[] = [];
  private readonly needed: number[];
  private moving: readonly Moving[] = [];
  private readonly translation = new Float64Array(3);
  private readonly rotation = new Float64Array(4);
  private readonly scale = new Float64Array(3);

  /** @param nodes Those whose world matrices are asked for. */
  constructor(
    private readonly rig: Rig,
    nodes: Iterable<number>,
  ) {
    const { parent, order, world } = rig.nodes;
    this.worlds = Float64Array.from(world);
    const needed = new Set<number>();
    for (const node of nodes)
      for (let at = node; at !== -1 && !needed.has(at); at = parent[at] ?? -1) needed.add(at);
    this.needed = Array.from(order).filter((node) => needed.has(node));
    for (const node of this.needed) this.views[node] = mat4At(this.worlds, node);
  }

  /** World matrix of a needed node; it changes with the pose. */
  worldOf(node: number): Mat4 {
    return this.views[node] ?? mat4At(this.worlds, node);
  }

  /** Takes the stored pose, and makes ready for a clip; null for a clip that moves nothing of this rig. */
  play(clip: Clip | null): void {
    const { parent, local } = this.rig.nodes;
    this.worlds.set(this.rig.nodes.world);
    const byNode = new Map<number, ClipChannel[]>();
    for (const channel of clip?.channels ?? []) {
      const list = byNode.get(channel.node);
      if (list === undefined) byNode.set(channel.node, [channel]);
      else list.push(channel);
    }
    const moved = new Set<number>();
    const moving: Moving[] = [];
    for (const node of this.needed) {
      const channels = byNode.get(node) ?? [];
      const above = parent[node] ?? -1;
      if (channels.length === 0 && !moved.has(above)) continue;
      moved.add(node);
      moving.push({
        node,
        world: this.worldOf(node),
        parent: above === -1 ? null : this.worldOf(above),
        local: channels.length === 0 ? mat4At(local, node) : new Float64Array(16),
        channels,
      });
    }
    this.moving = moving;
  }

  /** Moves to a time of the clip that plays. Seconds. */
  seek(time: number): void {
    for (const { node, world, parent, local, channels } of this.moving) {
      if (channels.length > 0) this.sample(node, channels, time, local);
      if (parent === null) world.set(local);
      else multiply(parent, local, world);
    }
  }

  private sample(
    node: number,
    channels: readonly ClipChannel[],
    time: number,
    local: Float64Array,
  ): void {
    const { nodes } = this.rig;
    const { translation, rotation, scale } = this;
    for (let i = 0; i < 3; i++) {
      translation[i] = nodes.translation[3 * node + i] ?? 0;
      scale[i] = nodes.scale[3 * node + i] ?? 1;
    }
    for (let i = 0; i < 4; i++) rotation[i] = nodes.rotation[4 * node + i] ?? 0;
    for (const channel of channels)
      sampleChannel(
        channel,
        time,
        channel.path === 'translation'
          ? translation
          : channel.path === 'rotation'
            ? rotation
            : scale,
      );
    compose(translation, rotation, scale, local);
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
