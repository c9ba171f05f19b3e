import { sampleChannel } from '../measure/pose/clip-sampling.js';
import type { Clip, ClipChannel } from '../rig/types.js';
import type { SceneClip, SceneTrack } from './scene-types.js';

/** Samples from key to key of a cubic curve. */
const SAMPLES = 4;

/** A clip without curves, for players that go straight from key to key. `place` gives the node's index in the scene. */
export function straightClip(clip: Clip, place: (node: number) => number): SceneClip {
  const tracks = clip.channels
    .filter(({ node, times }) => place(node) !== -1 && times.length > 0)
    .map((channel) => straightTrack(channel, place(channel.node)));
  const duration = tracks.reduce((most, { times }) => Math.max(most, times.at(-1) ?? 0), 0);
  return { name: clip.name, duration, tracks };
}

function straightTrack(channel: ClipChannel, node: number): SceneTrack {
  const { path, interpolation, times, values, size } = channel;
  const track = { node, path, steps: interpolation === 'STEP' };
  if (interpolation !== 'CUBICSPLINE') return { ...track, times, values };
  const sampled = Float32Array.from(
    [...times].flatMap((time, key) => {
      const before = times[key - 1];
      if (before === undefined) return [time];
      return Array.from(
        { length: SAMPLES },
        (_, at) => before + ((time - before) * (at + 1)) / SAMPLES,
      );
    }),
  );
  const out = new Float64Array(size);
  const straight = new Float32Array(size * sampled.length);
  sampled.forEach((time, at) => {
    sampleChannel(channel, time, out);
    straight.set(out, size * at);
  });
  return { ...track, times: sampled, values: straight };
}
