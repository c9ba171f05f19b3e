import { targetOf } from '../../asset/animation-pointer.js';
import type { Vec3 } from '../../rig/vec3.js';
import type { Editable } from '../file/editable.js';
import type { GltfJson } from '../json/gltf-json.js';
import { addInput, dropIdleSamplers } from '../reframe/new-curves.js';

export type Clip = NonNullable<GltfJson['animations']>[number];
export type Channel = Clip['channels'][number];

/** What a channel moves. */
interface Target {
  readonly node: number;
  readonly path: 'translation' | 'scale';
}

export function channelOf({ channels }: Clip, { node, path }: Target): Channel | undefined {
  return channels.find(({ target }) => {
    const moved = targetOf(target);
    return moved?.node === node && moved.path === path;
  });
}

/** Takes the keys of a node off in one clip, so that the clip leaves it as it is stored: at `stored`. */
export function takeOffKeys(edit: Editable, animation: number, target: Target, stored: Vec3): void {
  const clip = edit.json.animations?.[animation];
  const channel = clip && channelOf(clip, target);
  if (clip === undefined || channel === undefined) return;
  if (clip.channels.length > 1) clip.channels.splice(clip.channels.indexOf(channel), 1);
  else {
    // A clip has a channel at least (glTF 2.0, 5.5.channels).
    const input = addInput(edit, Float32Array.of(0));
    const output = edit.add('VEC3', Float32Array.from(stored));
    channel.sampler = clip.samplers.push({ input, output, interpolation: 'LINEAR' }) - 1;
  }
  dropIdleSamplers(clip);
}
