import { sampleChannel } from '../../measure/pose/clip-sampling.js';
import type { ClipChannel } from '../../rig/types.js';
import type { PartLook } from './looks.js';
import type { Pair } from './proof-seen.js';

/** The channels of one clip that weigh the morph targets of a part; null where it has none. */
export interface Track {
  readonly times: readonly number[];
  readonly channels: Pair<ClipChannel | null>;
}

/** Weights of all morph targets. */
export type Weights = Pair<Float64Array>;

/** What the morph targets of a part weigh from pose to pose. */
export class MorphWeights {
  readonly stored: Weights;
  private readonly targets: number;

  /** @param tracks By clip. */
  constructor(
    looks: Pair<PartLook> | null,
    private readonly tracks: ReadonlyMap<number, Track>,
  ) {
    this.targets = looks?.[0].targets.length ?? 0;
    const none = new Float64Array();
    this.stored = [looks?.[0].weights ?? none, looks?.[1].weights ?? none];
  }

  /** At a time of a clip; as stored where it weighs none. */
  sample(clip: number, time: number): Weights {
    const track = this.tracks.get(clip);
    return [this.sampled(0, track, time), this.sampled(1, track, time)];
  }

  /** The least and the greatest that any pose, as stored or of a clip, weighs each target before. */
  range(): Pair<Float64Array> {
    const [stored] = this.stored;
    const [least, most] = [Float64Array.from(stored), Float64Array.from(stored)];
    for (const [clip, { times }] of this.tracks)
      for (const time of times)
        this.sampled(0, this.tracks.get(clip), time).forEach((weight, target) => {
          // Once NaN they stay so.
          least[target] = Math.min(weight, least[target] ?? 0);
          most[target] = Math.max(weight, most[target] ?? 0);
        });
    return [least, most];
  }

  /** The most of each, without its sign. */
  most(): Float64Array {
    const [least, most] = this.range();
    return most.map((high, target) => Math.max(high, -(least[target] ?? 0)));
  }

  private sampled(side: 0 | 1, track: Track | undefined, time: number): Float64Array {
    const channel = track?.channels[side];
    if (channel == null || this.targets === 0) return this.stored[side];
    const weights = new Float64Array(Math.max(channel.size, this.targets));
    sampleChannel(channel, time, weights);
    return weights.subarray(0, this.targets);
  }
}
