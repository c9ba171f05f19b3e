import type { SceneClip, SceneNode, SceneTrack } from '../draw/scene.js';
import { column } from '../rig/mat4.js';
import { length } from '../rig/vec3.js';
import { packed } from './packed.js';
import type { PageClip } from './page-data.js';

/** Letters of JSON that the clips of a rig may take on a page. */
export const CLIP_LETTERS = 150_000;
/** The thinnest that clips are shown: every so many keys. */
const THINNEST = 8;
/** What a track takes besides its numbers. */
const TRACK_LETTERS = 125;
/** Four bytes a number, four letters for three bytes. */
const NUMBER_LETTERS = 16 / 3;
/** A difference far too small to be seen. Share of the value, or of 1. */
const SAME = 1e-6;

/**
 * Clips for a page. What does not fit is thinned to every second, fourth or eighth key, and then left
 * out from the last clip on, those that `messages` of findings name at the very last; `word` says so,
 * and is null where nothing was lost.
 */
export function packClips<Kind extends SceneClip>(
  all: readonly Kind[],
  nodes: readonly SceneNode[],
  messages = '',
): { clips: Packed<Kind>[]; word: string | null } {
  const clips = all.map((clip) => ({
    ...clip,
    tracks: clip.tracks.map(withoutRests).filter((track) => !isRest(track, nodes)),
  }));
  let every = 1;
  while (every < THINNEST && lettersOf(clips, every) > CLIP_LETTERS) every *= 2;
  const isNamed = ({ name }: SceneClip): number => Number(messages.includes(`"${name}"`));
  const wanted = [...clips].sort((a, b) => isNamed(b) - isNamed(a));
  while (lettersOf(wanted, every) > CLIP_LETTERS) wanted.pop();
  const lost = clips.length - wanted.length;
  const words = [
    every > 1 && `Clips are shown with 1 of every ${every} keys.`,
    lost > 0 && `${lost} of ${clips.length} clips are left out, to keep this page small.`,
  ].filter(Boolean);
  const kept = new Set(wanted);
  return {
    clips: clips.filter((clip) => kept.has(clip)).map((clip) => packClip(clip, every)),
    word: words.length === 0 ? null : words.join(' '),
  };
}

/** A clip with whatever else is told of it. */
type Packed<Kind extends SceneClip> = Omit<Kind, 'tracks'> & PageClip;

function packClip<Kind extends SceneClip>(clip: Kind, every: number): Packed<Kind> {
  const tracks = clip.tracks.map((track) => {
    const { times, values } = thinned(track, every);
    return { ...track, times: packed(times), values: packed(values) };
  });
  return { ...clip, tracks };
}

function lettersOf(clips: readonly SceneClip[], every: number): number {
  let letters = 0;
  for (const { tracks } of clips)
    for (const { times, values } of tracks) {
      const kept = times.length > 2 ? Math.ceil(times.length / every) + 1 : times.length;
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

/** Every so many keys, and the last. */
function thinned(track: SceneTrack, every: number): Pick<SceneTrack, 'times' | 'values'> {
  const { times } = track;
  if (every === 1 || times.length <= 2) return track;
  const size = track.values.length / times.length;
  const kept = [...times.keys()].filter((key) => key % every === 0 || key === times.length - 1);
  const values = kept.flatMap((key) => [...track.values.subarray(size * key, size * (key + 1))]);
  return {
    times: Float32Array.from(kept, (key) => times[key] ?? 0),
    values: Float32Array.from(values),
  };
}
