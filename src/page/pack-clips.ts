import type { SceneClip, SceneMoment, SceneNode, SceneTrack } from '../draw/scene.js';
import { groupBy } from '../rig/group-by.js';
import { column } from '../rig/mat4.js';
import { length } from '../rig/vec3.js';
import { packed } from './packed.js';
import type { PageClip } from './page-data.js';

/** Letters of JSON that the clips of a rig may take on a page. */
export const CLIP_LETTERS = 150_000;
/** The thinnest that clips are shown: every so many keys. */
const THINNEST = 8;
/** And that of the worst moment, if it does not fit alone. */
const THINNEST_WORST = 64;
/** What a track takes besides its numbers. */
const TRACK_LETTERS = 125;
/** Four bytes a number, four letters for three bytes. */
const NUMBER_LETTERS = 16 / 3;
/** A difference far too small to be seen. Share of the value, or of 1. */
const SAME = 1e-6;

/** A clip, and the moment at which it differs most from the approved rig, where it is shown beside one. */
type Shown = SceneClip & { readonly worst?: SceneMoment | null };

/**
 * Clips for a page. What does not fit is thinned to every second, fourth or eighth key, and then left
 * out from the last clip on, those that `messages` of findings name at the very last; `word` says so,
 * and is null where nothing was lost. The clip with the worst moment of all is never left out: a page
 * whose worst moment is another than its finding's would contradict itself.
 *
 * @param most Letters that they may take, the worst apart.
 */
export function packClips<Kind extends Shown>(
  all: readonly Kind[],
  nodes: readonly SceneNode[],
  messages = '',
  most = CLIP_LETTERS,
): { clips: Packed<Kind>[]; word: string | null } {
  const clips = all.map((clip) => ({
    ...clip,
    tracks: clip.tracks.map(withoutRests).filter((track) => !isRest(track, nodes)),
  }));
  let every = 1;
  while (every < THINNEST && lettersOf(clips, every) > most) every *= 2;
  const worst = clips.filter(({ worst }) => worst?.isWorst === true);
  while (every < THINNEST_WORST && lettersOf(worst, every) > most) every *= 2;
  const others = clips.filter((clip) => clip.worst?.isWorst !== true);
  const named = groupBy(others, ({ name }) => messages.includes(`"${name}"`));
  const kept = new Set(worst);
  let letters = lettersOf(worst, every);
  for (const clip of [...(named.get(true) ?? []), ...(named.get(false) ?? [])]) {
    letters += lettersOf([clip], every);
    if (letters > most) break;
    kept.add(clip);
  }
  const lost = clips.length - kept.size;
  const words = [
    every > 1 && `Clips are shown with 1 of every ${every} keys.`,
    lost > 0 && `${lost} of ${clips.length} clips are left out, to keep this page small.`,
  ].filter(Boolean);
  return {
    clips: clips.filter((clip) => kept.has(clip)).map((clip) => packClip(clip, every)),
    word: words.length === 0 ? null : words.join(' '),
  };
}

/** A clip with whatever else is told of it. */
type Packed<Kind extends Shown> = Omit<Kind, 'tracks'> & PageClip;

function packClip<Kind extends Shown>(clip: Kind, every: number): Packed<Kind> {
  const tracks = clip.tracks.map((track) => {
    const { times, values } = thinned(track, every, clip.worst?.seconds ?? null);
    return { ...track, times: packed(times), values: packed(values) };
  });
  return { ...clip, tracks };
}

function lettersOf(clips: readonly SceneClip[], every: number): number {
  let letters = 0;
  for (const { tracks } of clips)
    for (const { times, values } of tracks) {
      const kept = times.length > 2 ? Math.ceil(times.length / every) + ENDS : times.length;
      letters += TRACK_LETTERS + NUMBER_LETTERS * kept * (1 + values.length / times.length);
    }
  return letters;
}

/** A track that never changes needs one key. */
function withoutRests(track: SceneTrack): SceneTrack {
  const { times, values } = track;
  const size = values.length / times.length;
  if (values.some((value, i) => value !== values[i % size])) return track;
  return { ...track, times: times.slice(0, 1), values: values.slice(0, size) };
}

/** Whether a track keeps its node where it is anyway, as far as its matrix shows undivided. */
function isRest({ node, path, times, values }: SceneTrack, nodes: readonly SceneNode[]): boolean {
  if (times.length !== 1 || path === 'rotation') return false;
  const local = nodes[node]?.local ?? [];
  return [0, 1, 2].every((axis) => {
    const rest = path === 'translation' ? (local[12 + axis] ?? 0) : length(column(local, axis));
    return Math.abs(rest - (values[axis] ?? 0)) <= SAME * Math.max(1, rest);
  });
}

/** Keys that are kept besides: the last, and those on either side of the worst moment. */
const ENDS = 3;

/** Every so many keys, the last, and those between which the worst moment is: it is shown as it is. */
function thinned(
  track: SceneTrack,
  every: number,
  worst: number | null,
): Pick<SceneTrack, 'times' | 'values'> {
  const { times } = track;
  if (every === 1 || times.length <= 2) return track;
  const size = track.values.length / times.length;
  const next = worst === null ? -1 : times.findIndex((time) => time >= worst);
  const besides = new Set([times.length - 1, next - 1, next]);
  const kept = [...times.keys()].filter((key) => key % every === 0 || besides.has(key));
  const values = kept.flatMap((key) => [...track.values.subarray(size * key, size * (key + 1))]);
  return {
    times: Float32Array.from(kept, (key) => times[key] ?? 0),
    values: Float32Array.from(values),
  };
}
