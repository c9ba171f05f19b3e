import type { AccessorUser } from '../json/accessor-users.js';
import type { GltfJson } from '../json/gltf-json.js';
import type { Editable } from './editable.js';

/** The sampler of a channel, which is given one of its own where others share it. */
export function ownSampler(json: GltfJson, animation: number, channel: number): number {
  const { channels = [], samplers = [] } = json.animations?.[animation] ?? {};
  const target = channels[channel];
  if (target === undefined) return -1;
  if (channels.filter(({ sampler }) => sampler === target.sampler).length === 1)
    return target.sampler;
  const shared = samplers[target.sampler];
  if (shared === undefined) return target.sampler;
  target.sampler = samplers.push({ ...shared }) - 1;
  return target.sampler;
}

/** A user's values as floats: normalised integers are shares of their largest (glTF 2.0, 3.11). */
export function readFloats(edit: Editable, user: AccessorUser): Float32Array | null {
  const values = edit.readAny(user);
  if (values === null) return null;
  const { array, normalized } = values;
  if (array instanceof Float32Array) return array;
  const largest = normalized ? LARGEST[array.BYTES_PER_ELEMENT]?.[isSigned(array) ? 1 : 0] : 1;
  const out = new Float32Array(array.length);
  for (let i = 0; i < out.length; i++) out[i] = Math.max(-1, (array[i] ?? 0) / (largest ?? 1));
  return out;
}

/** Largest unsigned and signed number of so many bytes. */
const LARGEST: Readonly<Record<number, readonly [number, number]>> = {
  1: [255, 127],
  2: [65_535, 32_767],
};

function isSigned(array: ArrayLike<number>): boolean {
  return array instanceof Int8Array || array instanceof Int16Array;
}
