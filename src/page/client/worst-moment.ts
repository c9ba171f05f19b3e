import type { SceneMoment } from '../../draw/scene.js';
import type { LiveClip } from './live-clip.js';

/** When the two are farthest apart, and in which of the clips. */
export interface WorstMoment extends SceneMoment {
  readonly clip: number;
}

/**
 * The moment of some clips at which a rig is farthest from the approved one, over what is allowed: the
 * one that a finding names, where it is among them. Null where none shows a difference.
 */
export function worstMoment(
  clips: readonly Pick<LiveClip, 'worst'>[],
  among: readonly number[],
): WorstMoment | null {
  let worst: WorstMoment | null = null;
  for (const clip of among) {
    const moment = clips[clip]?.worst ?? null;
    if (moment === null) continue;
    if (worst === null || moment.isWorst || (!worst.isWorst && shareOf(moment) > shareOf(worst)))
      worst = { ...moment, clip };
  }
  return worst;
}

function shareOf({ value, limit }: SceneMoment): number {
  return value / limit;
}
