import { fact } from '../facts.js';
import { type CarriedClip, carriedClips } from './clip-carry.js';
import { PlayBoth } from './play-both.js';
import { playStage } from './play-stage.js';
import { PLAY_KINDS, type PlayKind, PlayWorst } from './play-worst.js';

/** When something differs most, and by how much. */
export interface PlayMoment {
  readonly clip: CarriedClip;
  /** Seconds. */
  readonly time: number;
  readonly value: number;
}

/** How one joint is shown by clips, against the approved one. Each null where it never differs. */
export interface PlayedJoint {
  readonly joint: number;
  /** The angle between the directions of the bone that ends at the joint. Degrees. */
  readonly bone: PlayMoment | null;
  /** How far the joint is off, seen from the body root; of the body root, how far it travels otherwise. % of size. */
  readonly place: PlayMoment | null;
  /** How far the skin that follows the joint is off, likewise. % of size. */
  readonly skin: PlayMoment | null;
}

/** What one clip shows worst at any joint, in one kind of measure. */
export interface ClipWorst {
  readonly kind: PlayKind;
  readonly joint: number;
  readonly moment: PlayMoment;
}

export interface Played {
  /** How many clips were played. */
  readonly clips: number;
  /** The worst of each kind that each clip shows, where it shows any. */
  readonly ofClips: readonly ClipWorst[];
  /** The joints that both rigs have, in the order of this rig. */
  readonly list: readonly PlayedJoint[];
  /** The joint that places are seen from. */
  readonly root: number;
}

/** A clip is looked at at so many times at most. */
export const MOST_TIMES = 200;
/** All clips together are looked at so many times, but each at least as often as the next number says. */
const MOST_POSES = 6000;
const FEWEST_TIMES = 12;

/**
 * Poses both rigs by every clip that was made for the approved one, and measures what is seen to differ:
 * the direction of each bone in the world, where each joint and the skin are as seen from the body root
 * (over size, after the scale of the whole), and how far the body root has travelled since the clip
 * began. A joint that a clip does not pose stays as its file stores it, and so counts as well: arms
 * bound in another pose are seen in every clip that leaves them alone.
 *
 * Looked at is every key and one point between each two. Of more than 200 times, 200 evenly spread over
 * that list are taken, first and last among them; where there are many clips, fewer (6000 in all, never
 * under 12 a clip). A difference that lasts for less than the step between two of them can be missed,
 * or be measured beside its worst.
 */
export const played = fact((facts): Played | null => {
  const stage = playStage(facts);
  if (stage === null) return null;
  const clips = carriedClips(facts);
  const worst = new PlayWorst(stage.theirs.length, clips.length);
  const most = Math.max(
    FEWEST_TIMES,
    Math.min(MOST_TIMES, Math.floor(MOST_POSES / Math.max(1, clips.length))),
  );
  const both = clips.length === 0 ? null : new PlayBoth(facts, stage);
  for (const [index, clip] of clips.entries()) both?.play(clip, index, most, worst);
  const list = Array.from(stage.ours, (joint, at): PlayedJoint => {
    const moment = (kind: PlayKind): PlayMoment | null => {
      const { value, clip, time } = worst.of(kind, at);
      const found = clips[clip];
      return found === undefined ? null : { clip: found, time, value };
    };
    return { joint, bone: moment('bone'), place: moment('place'), skin: moment('skin') };
  });
  list.sort((a, b) => a.joint - b.joint);
  const ofClips = clips.flatMap((clip, index) =>
    PLAY_KINDS.flatMap((kind): ClipWorst[] => {
      const { value, at, time } = worst.ofClip(kind, index);
      const joint = stage.ours[at];
      return joint === undefined ? [] : [{ kind, joint, moment: { clip, time, value } }];
    }),
  );
  return { clips: clips.length, ofClips, list, root: stage.ours[stage.root] ?? -1 };
});
