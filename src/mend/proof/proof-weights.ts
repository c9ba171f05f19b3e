import { sampleChannel } from '../../measure/pose/clip-sampling.js';
import type { ClipChannel } from '../../rig/types.js';
import type { PartLook } from './looks.js';

/** The channels of one clip that weigh the morph targets of a part; null where it has none. */
export interface Track {
  readonly times: readonly number[];
  readonly before: ClipChannel | null;
  readonly after: ClipChannel | null;
}

/** Weights of all morph targets, before and after. */
export type Weights = readonly [before: Float64Array, after: Float64Array];

/** Smallest and largest weight that each morph target has in any pose. */
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
    looks: readonly [before: PartLook, after: PartLook] | null,
    private readonly tracks: ReadonlyMap<number, Track>,
  ) {
    this.targets = looks?.[0].targets.length ?? 0;
    const none = new Float64Array();
    this.stored = [looks?.[0].weights ?? none, looks?.[1].weights ?? none];
  }

  /** At a time of a clip; as stored where it weighs none. */
  at(clip: number, time: number): Weights {
    const track = this.tracks.get(clip);
    return [
      this.sampled(track?.before, this.stored[0], time),
      this.sampled(track?.after, this.stored[1], time),
    ];
  }

  /** In all poses of the part before, each target by itself at full weight included. */
  range(): WeightRange {
    const least = new Float64Array(this.targets);
    const most = new Float64Array(this.targets).fill(1);
    const hold = (weights: Float64Array): void => {
      weights.forEach((weight, at) => {
        least[at] = Math.min(least[at] ?? 0, weight);
        most[at] = Math.max(most[at] ?? 0, weight);
      });
    };
    for (const weights of this.stored) hold(weights);
    if (this.targets > 0)
      for (const [clip, { before, times }] of this.tracks)
        if (before !== null) for (const time of times) hold(this.at(clip, time)[0]);
    return { least, most };
  }

  private sampled(
    channel: ClipChannel | null | undefined,
    stored: Float64Array,
    time: number,
  ): Float64Array {
    if (channel == null || this.targets === 0) return stored;
    const weights = new Float64Array(Math.max(channel.size, this.targets));
    sampleChannel(channel, time, weights);
    return weights.subarray(0, this.targets);
  }
}
