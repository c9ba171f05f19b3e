import type { Editable } from '../file/editable.js';
import type { KeyedChannel } from './clip-table.js';
import type { KeyMaps } from './key-maps.js';
import { mapped } from './map-keys.js';
import type { Followed } from './poser.js';
import type { Plan } from './reframing.js';

/** Gives a node a channel like another's, with its keys after their maps. */
export function addChannel(
  edit: Editable,
  node: number,
  like: KeyedChannel,
  maps: KeyMaps,
  isInverse: boolean,
): void {
  const clip = edit.json.animations?.[like.animation];
  const sampler = clip?.samplers[like.sampler];
  if (clip === undefined || sampler === undefined) return;
  const values = mapped(like, maps, isInverse);
  const output = edit.add(like.path === 'rotation' ? 'VEC4' : 'VEC3', values);
  const own = clip.samplers.push({ ...sampler, output }) - 1;
  clip.channels.push({ sampler: own, target: { node, path: like.path } });
}

/** Gives a node new channels in one clip, for all of it that does not stand still. */
export function storeCurves(
  edit: Editable,
  node: number,
  clip: number,
  { keys, rest }: Followed,
): void {
  const animation = edit.json.animations?.[clip];
  if (animation === undefined) return;
  const moving = PATHS.filter((path) => !stands(keys[path], rest[path]));
  const input = addInput(edit, keys.times);
  // A clip has a channel at least: one that stands still is better than none.
  for (const path of moving.length > 0 ? moving : (['rotation'] as const)) {
    const size = path === 'rotation' ? 4 : 3;
    // A spline has two keys at least (glTF 2.0, Appendix C).
    const isLone = keys.times.length === 1;
    const values = isLone ? keys[path].slice(size, 2 * size) : keys[path];
    const output = edit.add(size === 4 ? 'VEC4' : 'VEC3', values);
    const interpolation = isLone ? 'LINEAR' : 'CUBICSPLINE';
    const sampler = animation.samplers.push({ input, output, interpolation }) - 1;
    animation.channels.push({ sampler, target: { node, path } });
  }
}

/** An input of key times, ascending, with its bounds (glTF 2.0, 3.11). */
export function addInput(edit: Editable, times: Float32Array): number {
  const input = edit.add('SCALAR', times);
  const accessor = edit.json.accessors?.[input];
  if (accessor !== undefined)
    Object.assign(accessor, { min: [times[0] ?? 0], max: [times.at(-1) ?? 0] });
  return input;
}

const PATHS = ['translation', 'rotation', 'scale'] as const;

/** Whether all keys of a spline are at rest. */
function stands(keys: Float32Array, rest: readonly number[]): boolean {
  const size = rest.length;
  const reach = Math.max(1e-3, ...rest.map(Math.abs));
  for (let at = 0; at + 3 * size <= keys.length; at += 3 * size) {
    let sign = 1;
    if (size === 4) {
      const cosine = rest.reduce((sum, value, i) => sum + value * (keys[at + size + i] ?? 0), 0);
      sign = cosine < 0 ? -1 : 1;
    }
    for (let i = 0; i < size; i++)
      if (Math.abs(sign * (keys[at + size + i] ?? 0) - (rest[i] ?? 0)) > 2e-7 * reach) return false;
  }
  return true;
}

/** Channels in whose stead there are new ones: of nodes with another parent, and of those sampled anew. */
export function outdated(
  { nodes, parents }: Plan,
  old: ReadonlyMap<number, readonly KeyedChannel[]>,
): KeyedChannel[] {
  return nodes.flatMap(({ node, clips }) =>
    (old.get(node) ?? []).filter(
      ({ animation }) => parents.has(node) || clips.get(animation) === null,
    ),
  );
}

/** Takes channels out of their clips, and samplers that no channel reads any longer. */
export function dropChannels(edit: Editable, channels: readonly KeyedChannel[]): void {
  const gone = new Map<number, Set<number>>();
  for (const { animation, channel } of channels)
    gone.set(animation, (gone.get(animation) ?? new Set()).add(channel));
  for (const [animation, numbers] of gone) {
    const clip = edit.json.animations?.[animation];
    if (clip === undefined) continue;
    clip.channels = clip.channels.filter((_, at) => !numbers.has(at));
    dropIdleSamplers(clip);
  }
}

function dropIdleSamplers(clip: NonNullable<Editable['json']['animations']>[number]): void {
  const used = [...new Set(clip.channels.map(({ sampler }) => sampler))].sort((a, b) => a - b);
  const renumbered = new Map(used.map((sampler, at) => [sampler, at]));
  clip.samplers = used.flatMap((sampler) => clip.samplers[sampler] ?? []);
  for (const channel of clip.channels) channel.sampler = renumbered.get(channel.sampler) ?? 0;
}
