import { sampleChannel } from '../measure/pose/clip-sampling.js';
import type { Clip, ClipChannel } from '../rig/types.js';
import type { SceneClip, SceneTrack } from './scene.js';

/** Samples from key to key of a cubic curve. */
const SAMPLES = 4;

/** A clip for players that go straight from key to key. `place` is the node's index in the scene. */
export function straightClip(
  { name, channels }: Pick<Clip, 'name' | 'channels'>,
  place: (node: number) => number,
): SceneClip {
  const tracks = channels
    .filter(({ node, times }) => place(node) !== -1 && times.length > 0)
    .map((channel) => straightTrack(channel, place(channel.node)));
  const duration = tracks.reduce((most, { times }) => Math.max(most, times.at(-1) ?? 0), 0);
  return { name, duration, tracks };
}

function straightTrack(channel: ClipChannel, node: number): SceneTrack {
  const { path, interpolation, times, values, size } = channel;
  const track = { node, path, steps: interpolation === 'STEP' };
  if (interpolation !== 'CUBICSPLINE') return { ...track, times, values };
  const sampled = Float32Array.from(
    [...times].flatMap((time, key) => {
      const before = times[key - 1];
      if (before === undefined) return [time];
      const part = (index: number): number => ((time - before) * (index + 1)) / SAMPLES;
      return Array.from({ length: SAMPLES }, (_, index) => before + part(index));
    }),
  );
  const sample = new Float64Array(size);
  const straight = new Float32Array(size * sampled.length);
  sampled.forEach((time, index) => {
    sampleChannel(channel, time, sample);
    straight.set(sample, size * index);
  });
  return { ...track, times: sampled, values: straight };
}
