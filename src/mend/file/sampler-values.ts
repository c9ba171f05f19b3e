import { denormalise } from '../../rig/denormalise.js';
import type { AccessorUser } from '../json/accessor-users.js';
import type { GltfJson } from '../json/gltf-json.js';
import type { Editable } from './editable.js';

/** The sampler of a channel; a copy that only this channel uses where others share it. */
export function ownSampler(json: GltfJson, animation: number, channel: number): number {
  const { channels = [], samplers = [] } = json.animations?.[animation] ?? {};
  const target = channels[channel];
  if (target === undefined) return -1;
  const shared = samplers[target.sampler];
  const isShared = channels.some((other) => other !== target && other.sampler === target.sampler);
  if (shared !== undefined && isShared) target.sampler = samplers.push({ ...shared }) - 1;
  return target.sampler;
}

/** A user's values as floats: normalised integers are shares of their largest (glTF 2.0, 3.11). */
export function readFloats(edit: Editable, user: AccessorUser): Float32Array | null {
  const values = edit.readAny(user);
  return values === null ? null : denormalise(values);
}
