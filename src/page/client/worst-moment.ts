import type { Matrix4 } from 'three';
import { poseApproved, shownPlaces } from './live-approved.js';
import { placeOf, settle } from './live-bones.js';
import type { LiveClip } from './live-clip.js';
import type { LiveRig } from './live-rig.js';
import { pose } from './pose.js';

/** When the two are farthest apart, and where. */
export interface WorstMoment {
  readonly clip: number;
  readonly seconds: number;
  readonly joint: number;
  /** How far the joint is from the approved one, root on root. Share of the rig's size. */
  readonly share: number;
}

/** Times that a clip is looked at, and all clips together. */
const [MOST_TIMES, MOST_IN_ALL] = [200, 2000];

/**
 * The moment of some clips at which a joint is farthest from the one that it answers to, root on root:
 * every key and one point between each two. It leaves the rig posed by the last that it looked at. Null
 * where nothing is compared.
 */
export function worstMoment(
  rig: LiveRig,
  clips: readonly number[],
  world: Matrix4,
): WorstMoment | null {
  const { approved } = rig;
  if (approved === null) return null;
  const answers = [...approved.data.jointAnswers.entries()].filter(([, own]) => own !== -1);
  const size = rig.data.size * world.getMaxScaleOnAxis();
  const most = Math.max(2, Math.min(MOST_TIMES, Math.floor(MOST_IN_ALL / clips.length)));
  let worst: WorstMoment | null = null;
  for (const clip of clips)
    for (const seconds of timesOf([rig.clips[clip], approved.clips[clip]], most)) {
      const how = { kind: 'clip', clip, seconds } as const;
      pose(rig, how);
      settle(rig, world);
      poseApproved(approved, rig, how, world);
      const theirs = shownPlaces(approved, 'top', approved.toRoot);
      for (const [joint, own] of answers) {
        const place = theirs[joint];
        const share = place === undefined ? 0 : place.distanceTo(placeOf(rig, own)) / size;
        if (share > (worst?.share ?? -1)) worst = { clip, seconds, joint: own, share };
      }
    }
  return worst;
}

/** Keys and the points between them, evenly thinned. Seconds. */
function timesOf(clips: readonly (LiveClip | null | undefined)[], most: number): number[] {
  const keys = new Set<number>();
  for (const clip of clips)
    for (const track of clip?.tracks ?? []) for (const time of track.keys()) keys.add(time);
  const sorted = [...keys].filter(Number.isFinite).sort((a, b) => a - b);
  const all = sorted.flatMap((time, index) => {
    const before = sorted[index - 1];
    return before === undefined ? [time] : [(before + time) / 2, time];
  });
  const step = Math.max(1, (all.length - 1) / (most - 1));
  const count = Math.min(all.length, most);
  return Array.from({ length: count }, (_, at) => all[Math.round(at * step)] ?? 0);
}
