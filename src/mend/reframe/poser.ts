import { ClipPose } from '../../measure/pose/clip-sampling.js';
import { visible } from '../../report/visible.js';
import { decompose, skew, type Trs } from '../../rig/decompose.js';
import {
  compose,
  determinant3,
  identity,
  type Mat4,
  mat4At,
  multiply,
  origin,
} from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import { EVEN } from '../carry/frame-change.js';
import { polar } from './linear.js';
import type { Plan } from './reframing.js';
import { follow, type SplineKeys } from './resample.js';
import { movesInSteps, withoutStillSteps } from './steps.js';
import { relativeTo, upFrom } from './stored.js';

/** How curves are made that no product of keys gives. */
export interface Resampling {
  /** Of the largest rig, in its units. */
  readonly size: number;
  /** Take the nearest pose without skew where there is none: what is seen then changes. */
  readonly isNearest: boolean;
  /**
   * By node: as skewed as that, axes are taken for square, and as near to the stored scale, a scale for that:
   * exporters leave keys that say 0.99998 for 1. Share; as float32 stores it where it is left out.
   */
  readonly noiseOf?: (node: number) => number;
}

/** How near resampled curves follow the old ones. Share of size; far below what a mend may move. */
const CLOSE = 3e-7;

/** A motion that was resampled, and what the node stores. */
export interface Followed {
  readonly node: number;
  readonly clip: string;
  readonly keys: SplineKeys;
  readonly rest: Trs;
}

/** Poses nodes by a plan at any time of a clip. */
export class Poser {
  private readonly poses = new Map<string, ClipPose>();

  constructor(
    private readonly plan: Plan,
    private readonly rigs: readonly Rig[],
    private readonly resampling: Resampling,
  ) {}

  /** Curves for the motion of a node in one clip, or why none follow it. */
  follow(node: number, clip: number): Followed | { readonly why: string } {
    const { plan, poses, resampling } = this;
    const rig = this.rigs.find(
      ({ joints, holders }) =>
        joints.ofNode[node] !== -1 ||
        holders.includes(node) ||
        joints.spacers.some((run) => run.includes(node)),
    );
    const stored = rig?.clips.find(({ index }) => index === clip);
    if (rig === undefined || stored === undefined) return { why: 'its clip cannot be played' };
    const played = { ...stored, channels: stored.channels.map(withoutStillSteps) };
    const clipWords = `the clip "${visible(played.name)}"`;
    const parent = plan.parents.get(node) ?? rig.nodes.parent[node] ?? -1;
    const [line, others] = [upFrom(rig.nodes, node), upFrom(rig.nodes, parent)];
    // What moves both ends moves nothing between them; but the nearest pose of each hangs on all above it.
    const moving = played.channels.filter(({ node: moved }) =>
      line.has(moved) && others.has(moved)
        ? resampling.isNearest
        : line.has(moved) || others.has(moved),
    );
    if (moving.some(movesInSteps))
      return { why: `${clipWords} moves in steps there, and no curve can follow steps` };
    const times = new Set(moving.flatMap((channel) => [...channel.times]));
    const key = `${rig.index} ${clip}`;
    const pose = poses.get(key) ?? new ClipPose(rig, played);
    poses.set(key, pose);
    const rest = decompose(plan.nodes.find((other) => other.node === node)?.local ?? identity());
    const motion = (time: number): Mat4 => {
      pose.seek(time);
      const world = this.worldOf(pose, node);
      const above = parent === -1 ? null : this.worldOf(pose, parent);
      const local = relativeTo(above, world) ?? world;
      if (!resampling.isNearest)
        return withoutNoise(local, rest, resampling.noiseOf?.(node) ?? EVEN);
      const { translation, rotation } = decompose(local);
      return compose(translation, rotation, rest.scale);
    };
    const sorted = [...times].sort((a, b) => a - b);
    // Curves are in the units of the new parent, whose scale can be that of centimetres.
    const unit = unitOf(rig, parent);
    const reach = resampling.size / unit;
    const followed = follow(motion, sorted, CLOSE * reach, reach);
    if (followed === null)
      return { why: `${clipWords} moves it in a way that no curve can follow` };
    const keys = { ...followed, off: followed.off * unit };
    return { node, clip: played.name, keys, rest };
  }

  /** New world matrix of a node; the nearest without skew where that is wanted. */
  private worldOf(pose: ClipPose, node: number): Mat4 {
    const frame = this.plan.frames.get(node);
    const old = Float64Array.from(pose.worldOf(node));
    const world = frame === undefined ? old : multiply(old, frame);
    const split = this.resampling.isNearest && frame !== undefined ? polar(world) : null;
    if (split === null) return world;
    const size = Math.cbrt(Math.abs(determinant3(split.stretch)));
    const nearest = split.turn.map((value, at) => (at < 12 ? value * size : value));
    nearest.set([...origin(world), 1], 12);
    return nearest;
  }
}

/** Units of the world that one of a node is; 1 for the top, and where the node is flat. */
function unitOf({ nodes }: Rig, node: number): number {
  const unit = node === -1 ? 1 : Math.cbrt(Math.abs(determinant3(mat4At(nodes.world, node))));
  return unit > 0 ? unit : 1;
}

function withoutNoise(local: Mat4, rest: Trs, noise: number): Mat4 {
  const { translation, rotation, scale } = decompose(local);
  const isAtRest = scale.every((value, axis) => {
    const stored = rest.scale[axis] ?? 1;
    return Math.abs(value - stored) <= noise * Math.abs(stored);
  });
  if (skew(local) > noise || !(isAtRest || skew(local) > EVEN)) return local;
  return compose(translation, rotation, isAtRest ? rest.scale : scale);
}
