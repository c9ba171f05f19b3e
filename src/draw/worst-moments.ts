import type { LimitOf } from '../kit/rule.js';
import type { Facts } from '../measure/facts.js';
import type { CarriedClip } from '../measure/fit/clip-carry.js';
import { type ClipWorst, played } from '../measure/fit/play.js';
import {
  PLAY_ROUNDING,
  type PlayLimits,
  pastLimits,
  worstPlayed,
} from '../measure/fit/play-past.js';
import { groupBy } from '../rig/group-by.js';
import type { SceneMoment } from './scene.js';

/**
 * The moment of each clip at which the rig is farthest from the approved one, over what `fit.play` lets
 * pass, by the measures of that rule. That of the clip in which it is worst is the moment that the finding
 * names, so that pictures and words speak of one.
 */
export function worstMoments(
  facts: Facts,
  limitOf: LimitOf,
): ReadonlyMap<CarriedClip, SceneMoment> {
  const result = played(facts);
  if (result === null) return new Map();
  const away = limitOf('fit.play', 'away');
  const most: PlayLimits = { bone: limitOf('fit.play', 'angle'), place: away, skin: away };
  const sceneMoment = (
    { kind, joint, moment: { time, value } }: ClipWorst,
    isWorst: boolean,
  ): SceneMoment => ({
    joint,
    seconds: time,
    kind: kind === 'place' && joint === result.root ? 'travel' : kind,
    value,
    limit: most[kind],
    isWorst,
  });
  const moments = new Map<CarriedClip, SceneMoment>();
  const ofClips = result.ofClips.filter(isTold);
  for (const [clip, kinds] of groupBy(ofClips, ({ moment }) => moment.clip)) {
    const worst = worstPlayed(kinds, most);
    if (worst !== undefined) moments.set(clip, sceneMoment(worst, false));
  }
  const past = pastLimits(result.list, most);
  const worst = worstPlayed(past, most) ?? worstPlayed(ofClips, most);
  if (worst !== undefined && isTold(worst))
    moments.set(worst.moment.clip, sceneMoment(worst, true));
  return moments;
}

/** More than rounding, and no number beyond all measure. */
function isTold({ moment: { value } }: Pick<ClipWorst, 'moment'>): boolean {
  return value > PLAY_ROUNDING && Number.isFinite(value);
}
