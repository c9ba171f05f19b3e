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
  /** By index of a clip that scales it: the larger of the two at its strongest. */
  readonly clips: ReadonlyMap<number, number>;
}

/** For each joint that a clip scales at all: where it is scaled most, unequally before equally. */
export const clipScales = fact(({ rig }): readonly ClipScale[] => {
  const worst = new Map<number, ClipScale & { readonly clips: Map<number, number> }>();
  const out = new Float64Array(4);
  for (const clip of rig.clips) {
    for (const channel of clip.channels) {
      const joint = rig.joints.ofNode[channel.node] ?? -1;
      if (channel.path !== 'scale' || joint === -1 || isConstant(channel)) continue;
      const stored = vec3At(rig.nodes.scale, channel.node);
      for (const time of sampleTimes([channel])) {
        sampleChannel(channel, time, out);
        const ratios = stored.map((factor, axis) => Math.abs((out[axis] ?? 1) / (factor || 1)));
        const [least, most] = [Math.min(...ratios), Math.max(...ratios)];
        const uneven = least > 0 ? 100 * (most / least - 1) : most > 0 ? Infinity : 0;
        const change = 100 * Math.max(most - 1, 1 - least);
        const before = worst.get(joint);
        const clips = before?.clips ?? new Map<number, number>();
        clips.set(clip.index, Math.max(clips.get(clip.index) ?? 0, uneven, change));
        const isWorse =
          before === undefined ||
          uneven > before.uneven + 1e-9 ||
          (uneven >= before.uneven - 1e-9 && change > before.change);
        const found = { joint, time, factors: vec3At(ratios, 0), uneven, change, clips };
        if (isWorse) worst.set(joint, { ...found, clip: clip.name });
      }
    }
  }
  return [...worst.values()].sort((a, b) => a.joint - b.joint);
});

/** Baked exports key a constant scale on every joint; one look at the keys settles those. */
function isConstant({ values, size, interpolation }: ClipChannel): boolean {
  const isOff = (value: number, at: number): boolean => {
    const first = values[at % size] ?? 0;
    return Math.abs(value - first) > 1e-6 * Math.abs(first);
  };
  return interpolation !== 'CUBICSPLINE' && !values.some(isOff);
}
