import type { ClipChannel } from '../../rig/types.js';
import { type Vec3, vec3At } from '../../rig/vec3.js';
import { fact } from '../facts.js';
import { sampleChannel, sampleTimes } from './clip-sampling.js';

/** The strongest scaling of one joint by any clip. */
export interface ClipScale {
  readonly joint: number;
  readonly clip: string;
  /** Seconds. */
  readonly time: number;
  /** Magnitudes of the factors along X, Y, Z against the stored scale. */
  readonly factors: Vec3;
  /** Largest over smallest factor, less 1, in percent; Infinity when one is 0. */
  readonly uneven: number;
  /** The factor that is farthest from 1, less 1, in percent. */
  readonly change: number;
  /** Indices of the clips that scale it, each with the larger of the two at its strongest. */
  readonly clips: ReadonlyMap<number, number>;
}

/** For each joint that a clip scales at all: where it is scaled most, unequally before equally. */
export const clipScales = fact(({ rig }): readonly ClipScale[] => {
  const worst = new Map<number, Omit<ClipScale, 'clips'>>();
  const clips = new Map<number, Map<number, number>>();
  const out = new Float64Array(4);
  for (const clip of rig.clips) {
    for (const channel of clip.channels) {
      const joint = rig.joints.ofNode[channel.node] ?? -1;
      if (channel.path !== 'scale' || joint === -1 || isConstant(channel)) continue;
      const stored = vec3At(rig.nodes.scale, channel.node).map((factor) =>
        factor === 0 ? 1 : factor,
      );
      const byClip = clips.get(joint) ?? new Map<number, number>();
      clips.set(joint, byClip);
      for (const time of sampleTimes([channel])) {
        sampleChannel(channel, time, out);
        const factors = vec3At(
          stored.map((factor, axis) => Math.abs((out[axis] ?? 1) / factor)),
          0,
        );
        const [least, most] = [Math.min(...factors), Math.max(...factors)];
        const uneven = least > 0 ? 100 * (most / least - 1) : most > 0 ? Infinity : 0;
        const change = 100 * Math.max(most - 1, 1 - least);
        byClip.set(clip.index, Math.max(byClip.get(clip.index) ?? 0, uneven, change));
        const before = worst.get(joint);
        const more =
          before === undefined ||
          uneven > before.uneven + 1e-9 ||
          (uneven >= before.uneven - 1e-9 && change > before.change);
        if (more) worst.set(joint, { joint, clip: clip.name, time, factors, uneven, change });
      }
    }
  }
  return [...worst.values()]
    .map((item) => ({ ...item, clips: clips.get(item.joint) ?? new Map<number, number>() }))
    .sort((a, b) => a.joint - b.joint);
});

/** Baked exports key a constant scale on every joint; one look at the keys settles those. */
function isConstant({ values, size, interpolation }: ClipChannel): boolean {
  if (interpolation === 'CUBICSPLINE') return false;
  for (let i = size; i < values.length; i++) {
    const [a, b] = [values[i] ?? 0, values[i % size] ?? 0];
    if (Math.abs(a - b) > 1e-6 * Math.abs(b)) return false;
  }
  return true;
}
