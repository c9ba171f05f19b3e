import { worstOf } from '../worst-of.js';
import type { PlayedJoint, PlayMoment } from './play.js';
import { PLAY_KINDS, type PlayKind } from './play-worst.js';

/** What may differ: degrees between bones, and % of size for the rest. */
export type PlayLimits = Readonly<Record<PlayKind, number>>;

/** What is past its limit at one joint. */
export interface PlayPast {
  readonly entry: PlayedJoint;
  readonly joint: number;
  readonly kind: PlayKind;
  readonly moment: PlayMoment;
}

/** What numbers of 32 bits leave, whatever the limit: degrees, or % of size. */
export const PLAY_ROUNDING = 1e-3;

/** What is past its limit by most at each joint: the direction of its bone before its place and skin. */
export function pastLimits(list: readonly PlayedJoint[], most: PlayLimits): PlayPast[] {
  return list.flatMap((entry) => {
    const past = PLAY_KINDS.flatMap((kind): PlayPast[] => {
      const moment = entry[kind];
      return moment !== null && moment.value > Math.max(PLAY_ROUNDING, most[kind])
        ? [{ entry, joint: entry.joint, kind, moment }]
        : [];
    });
    return worstPlayed(past, most) ?? [];
  });
}

/** The worst of several, each over its limit; what is off at all is endlessly over a limit of 0. */
export function worstPlayed<T extends Pick<PlayPast, 'kind' | 'moment'>>(
  list: readonly T[],
  most: PlayLimits,
): T | undefined {
  return worstOf(list, ({ kind, moment: { value } }) => value / most[kind]);
}
