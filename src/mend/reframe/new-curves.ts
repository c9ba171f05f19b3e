import { targetOf } from '../../asset/animation-pointer.js';
import { conjugate, type Quaternion } from '../../rig/quaternion.js';
import type { Vec3 } from '../../rig/vec3.js';
import type { Editable } from '../file/editable.js';
import { ownSampler, readFloats } from '../file/sampler-values.js';
import type { AccessorUser } from '../json/accessor-users.js';
import type { GltfJson } from '../json/gltf-json.js';
import { type ClipTable, type KeyedChannel, PATHS } from './clip-table.js';
import type { KeyMaps } from './key-maps.js';
import type { Followed } from './poser.js';
import type { Plan } from './reframing.js';
import { keepUnits } from './unit-rotation.js';

/** Changes the keys of all nodes that keep their parent, in place. */
export function mapKeys(edit: Editable, { nodes, parents }: Plan): void {
  const clipsOf = new Map(nodes.map(({ node, clips }) => [node, clips]));
  const written: (readonly [AccessorUser, Float32Array])[] = [];
  edit.json.animations?.forEach(({ channels, samplers }, animation) => {
    channels.forEach(({ target }, channel) => {
      const { node = -1, path = '' } = targetOf(target) ?? {};
      const maps = clipsOf.get(node)?.get(animation);
      if (maps == null || parents.has(node) || !isMapped(maps, path)) return;
      const sampler = ownSampler(edit.json, animation, channel);
      const user: AccessorUser = { kind: 'output', animation, sampler };
      const values = readFloats(edit, user);
      if (values === null) return;
      const { interpolation = 'LINEAR' } = samplers[sampler] ?? {};
      written.push([user, mapped({ path, interpolation, values }, maps)]);
    });
  });
  edit.writeEach(written);
}

function isMapped(maps: KeyMaps, path: string): path is keyof KeyMaps {
  return path in maps;
}

/** The keys of one channel after their maps, tangents included. Rotations can be inverted before. */
function mapped(
  { path, interpolation, values }: Pick<KeyedChannel, 'path' | 'interpolation' | 'values'>,
  { translation, rotation, scale }: KeyMaps,
  isInverse = false,
): Float32Array {
  const size = path === 'rotation' ? 4 : 3;
  const isCubic = interpolation === 'CUBICSPLINE';
  const out = Float32Array.from(values);
  for (let at = 0; at + size <= values.length; at += size) {
    const isTangent = isCubic && (at / size) % 3 !== 1;
    const [x = 0, y = 0, z = 0, w = 0] = values.subarray(at, at + size);
    const turn: Quaternion = isInverse ? conjugate([x, y, z, w]) : [x, y, z, w];
    const value: Vec3 = [x, y, z];
    const mappedKey =
      path === 'rotation'
        ? rotation?.(turn, isTangent)
        : path === 'translation'
          ? translation?.(value, isTangent)
          : scale?.(value);
    if (mappedKey !== undefined) out.set(mappedKey, at);
  }
  return path === 'rotation' ? keepUnits(out, isCubic) : out;
}

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
  const { path } = like;
  const output = edit.add(path === 'rotation' ? 'VEC4' : 'VEC3', mapped(like, maps, isInverse));
  addCurve(clip, { node, path }, { ...sampler, output });
}

type Clip = NonNullable<GltfJson['animations']>[number];

function addCurve(
  { channels, samplers }: Clip,
  target: Clip['channels'][number]['target'],
  sampler: Clip['samplers'][number],
): void {
  channels.push({ sampler: samplers.push(sampler) - 1, target });
}

/** Gives a node new channels in one clip, for all parts of its transform that change. */
export function storeCurves(
  edit: Editable,
  node: number,
  clip: number,
  { keys, rest }: Followed,
): void {
  const animation = edit.json.animations?.[clip];
  if (animation === undefined) return;
  const moving = PATHS.filter((path) => !isAtRest(keys[path], rest[path]));
  const input = addInput(edit, keys.times);
  // A spline has two keys at least (glTF 2.0, Appendix C).
  const isLone = keys.times.length === 1;
  const interpolation = isLone ? 'LINEAR' : 'CUBICSPLINE';
  // A clip has a channel at least: one that never changes is better than none.
  for (const path of moving.length > 0 ? moving : (['rotation'] as const)) {
    const size = path === 'rotation' ? 4 : 3;
    const values = isLone ? keys[path].slice(size, 2 * size) : keys[path];
    const output = edit.add(size === 4 ? 'VEC4' : 'VEC3', values);
    addCurve(animation, { node, path }, { input, output, interpolation });
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

/** Whether all keys of a spline are at rest. */
function isAtRest(keys: Float32Array, rest: readonly number[]): boolean {
  const size = rest.length;
  const tolerance = 2e-7 * Math.max(1e-3, ...rest.map(Math.abs));
  for (let at = 0; at + 3 * size <= keys.length; at += 3 * size) {
    const key = keys.subarray(at + size, at + 2 * size);
    const cosine = rest.reduce((sum, value, i) => sum + value * (key[i] ?? 0), 0);
    // Two quaternions make the same turn.
    const sign = size === 4 && cosine < 0 ? -1 : 1;
    if (rest.some((value, i) => Math.abs(sign * (key[i] ?? 0) - value) > tolerance)) return false;
  }
  return true;
}

/**
 * Takes out the channels that new ones replace (of nodes with another parent, and resampled ones), and
 * samplers that no channel reads any longer.
 */
export function dropOutdated(
  edit: Editable,
  { nodes, parents }: Plan,
  channels: ClipTable['channels'],
): void {
  const gone = new Map<number, Set<number>>();
  for (const { node, clips } of nodes)
    for (const { animation, channel } of channels.get(node) ?? [])
      if (parents.has(node) || clips.get(animation) === null)
        gone.set(animation, (gone.get(animation) ?? new Set()).add(channel));
  for (const [animation, numbers] of gone) {
    const clip = edit.json.animations?.[animation];
    if (clip === undefined) continue;
    clip.channels = clip.channels.filter((_, at) => !numbers.has(at));
    dropIdleSamplers(clip);
  }
}

/** Takes out samplers that no channel of their clip reads. */
export function dropIdleSamplers(clip: Clip): void {
  const used = [...new Set(clip.channels.map(({ sampler }) => sampler))].sort((a, b) => a - b);
  const renumbered = new Map(used.map((sampler, at) => [sampler, at]));
  clip.samplers = used.flatMap((sampler) => clip.samplers[sampler] ?? []);
  for (const channel of clip.channels) channel.sampler = renumbered.get(channel.sampler) ?? 0;
}
