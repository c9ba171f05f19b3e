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

/** Smallest and largest weight of each morph target in any pose. */
export interface WeightRange {
  readonly least: ArrayLike<number>;
  readonly most: ArrayLike<number>;
}

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

  /** In all poses of the part before, each target by itself at full weight included. */
  range(): WeightRange {
    const least = new Float64Array(this.targets);
    const most = new Float64Array(this.targets).fill(1);
    const include = (weights: Float64Array): void =>
      weights.forEach((weight, target) => {
        least[target] = Math.min(least[target] ?? 0, weight);
        most[target] = Math.max(most[target] ?? 0, weight);
      });
    this.stored.forEach(include);
    if (this.targets > 0)
      for (const [clip, { channels, times }] of this.tracks)
        if (channels[0] !== null) for (const time of times) include(this.sample(clip, time)[0]);
    return { least, most };
  }

  private sampled(side: 0 | 1, track: Track | undefined, time: number): Float64Array {
    const channel = track?.channels[side];
    if (channel == null || this.targets === 0) return this.stored[side];
    const weights = new Float64Array(Math.max(channel.size, this.targets));
    sampleChannel(channel, time, weights);
    return weights.subarray(0, this.targets);
  }
}
