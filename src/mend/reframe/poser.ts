import { ClipPose } from '../../measure/pose/clip-sampling.js';
import { visible } from '../../report/visible.js';
import { decompose } from '../../rig/decompose.js';
import { compose, determinant3, identity, invert, type Mat4, multiply } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import { polar } from './linear.js';
import type { Plan } from './reframing.js';
import { follow, type SplineKeys } from './resample.js';
import type { Stored } from './stored.js';

/** How curves are made that no product of keys gives. */
export interface Resampling {
  /** Largest distance that a spline may be off between its keys, in units of the rig. */
  readonly tolerance: number;
  /** What is turned lies at most so far away; units of the rig. */
  readonly reach: number;
  /** Take the nearest pose without skew where there is none: what is seen then changes. */
  readonly nearest: boolean;
}

/** A motion that was sampled anew, and what the node stores. */
export interface Followed {
  readonly node: number;
  readonly clip: string;
  readonly keys: SplineKeys;
  readonly rest: Stored;
}

/** Poses nodes as they are to be at any time of a clip. */
export class Poser {
  private readonly poses = new Map<string, ClipPose>();

  constructor(
    private readonly plan: Plan,
    private readonly rigs: readonly Rig[],
    private readonly how: Resampling,
  ) {}

  /** Curves for the motion of a node in one clip, or why none follow it. */
  follow(node: number, clip: number): Followed | { readonly why: string } {
    const rig = rigOf(this.rigs, node);
    const own = rig?.clips.find(({ index }) => index === clip);
    if (rig === null || own === undefined) return { why: 'its clip cannot be played' };
    const parent = this.plan.parents.get(node) ?? rig.nodes.parent[node] ?? -1;
    const moving = own.channels.filter(({ node: at }) => this.concerns(rig, at, node, parent));
    if (
      moving.some(({ interpolation, times: keys }) => interpolation === 'STEP' && keys.length > 1)
    )
      return {
        why: `the clip "${visible(own.name)}" moves in steps there, and no curve can follow steps`,
      };
    const times = [...new Set(moving.flatMap((channel) => [...channel.times]))].sort(
      (a, b) => a - b,
    );
    const key = `${rig.index} ${clip}`;
    const pose = this.poses.get(key) ?? new ClipPose(rig, own);
    this.poses.set(key, pose);
    const local = this.plan.nodes.find((item) => item.node === node)?.local;
    const rest = decompose(local ?? identity());
    const motion = (time: number): Mat4 => {
      pose.seek(time);
      const above = parent === -1 ? identity() : this.target(pose, parent);
      const back = invert(above) ?? identity();
      const made = multiply(back, this.target(pose, node));
      if (!this.how.nearest) return made;
      const { translation, rotation } = decompose(made);
      return compose(translation, rotation, rest.scale);
    };
    const keys = follow(motion, times, this.how.tolerance, this.how.reach);
    if (keys === null)
      return { why: `the clip "${visible(own.name)}" moves it in a way that no curve can follow` };
    return { node, clip: own.name, keys, rest };
  }

  /** Whether a moving node lies between a node and its new parent. */
  private concerns({ nodes }: Rig, moving: number, node: number, parent: number): boolean {
    const isAbove = (at: number): boolean => {
      for (let up = at; up !== -1; up = nodes.parent[up] ?? -1) if (up === moving) return true;
      return false;
    };
    return isAbove(node) !== (parent !== -1 && isAbove(parent));
  }

  /** New world matrix of a node; the nearest without skew where that is asked. */
  private target(pose: ClipPose, node: number): Mat4 {
    const frame = this.plan.frames.get(node);
    const world = Float64Array.from(pose.worldOf(node));
    const made = frame === undefined ? world : multiply(world, frame);
    if (!this.how.nearest || frame === undefined) return made;
    const split = polar(made);
    if (split === null) return made;
    const size = Math.cbrt(Math.abs(determinant3(split.stretch)));
    const [x = 0, y = 0, z = 0] = made.subarray(12, 15);
    const out = split.turn.map((value, at) => (at < 12 ? value * size : value));
    out.set([x, y, z, 1], 12);
    return out;
  }
}

/** The rig that a node is a joint or holder of; null for none. */
function rigOf(rigs: readonly Rig[], node: number): Rig | null {
  return (
    rigs.find(
      ({ joints, holders }) =>
        joints.ofNode[node] !== -1 ||
        holders.includes(node) ||
        joints.spacers.some((run) => run.includes(node)),
    ) ?? null
  );
}
