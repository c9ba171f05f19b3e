import type { ProofPlace, Seen } from './proof-seen.js';

/** What one sampled pose of a clip shows at most. */
export interface ProofSample {
  /** Seconds. */
  readonly time: number;
  /** How far a vertex is apart at most; 1 is the size of the rig. */
  readonly share: number;
  /** Where that is; null where nothing is apart, or where a bound alone says how far at most. */
  readonly where: ProofPlace | null;
}

/** All sampled poses of one clip, in the order of their times. */
export interface ClipRecord {
  /** Index of the clip in the file. */
  readonly clip: number;
  readonly name: string;
  readonly samples: readonly ProofSample[];
}

/**
 * Keeps what a proof sees pose by pose, where somebody wants to show it. Nothing is compared for its
 * sake: a figure can be a bound, which is then no larger than what was seen already, or needs no look.
 */
export class ProofRecord {
  private readonly clips = new Map<number, { name: string; samples: Map<number, ProofSample> }>();

  /** Takes what one rig shows at a time of a clip; of several rigs the worst stays. */
  add(clip: number, name: string, time: number, { share, where }: Seen): void {
    const known = this.clips.get(clip) ?? { name, samples: new Map() };
    this.clips.set(clip, known);
    const before = known.samples.get(time);
    if (before === undefined || share > before.share)
      known.samples.set(time, { time, share, where });
  }

  /** The clips in the order of the file. */
  list(): ClipRecord[] {
    return [...this.clips]
      .sort(([a], [b]) => a - b)
      .map(([clip, { name, samples }]) => ({
        clip,
        name,
        samples: [...samples.values()].sort((a, b) => a.time - b.time),
      }));
  }
}
