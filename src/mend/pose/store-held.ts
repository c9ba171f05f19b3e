import { targetOf } from '../../asset/animation-pointer.js';
import type { Vec3 } from '../../rig/vec3.js';
import type { Editable } from '../file/editable.js';
import { ownSampler } from '../file/sampler-values.js';
import type { GltfJson } from '../json/gltf-json.js';
import { addInput, dropIdleSamplers } from '../reframe/new-curves.js';
import type { Held } from './held-bone.js';

type Clip = NonNullable<GltfJson['animations']>[number];

/** Gives the translation of a node other keys in one clip, or none. */
export function storeHeld(edit: Editable, node: number, animation: number, held: Held): void {
  const clip = edit.json.animations?.[animation];
  if (clip === undefined) return;
  const channel = clip.channels.findIndex(({ target }) => {
    const moved = targetOf(target);
    return moved?.node === node && moved.path === 'translation';
  });
  if (held.kind === 'values') {
    const sampler = ownSampler(edit.json, animation, channel);
    edit.write({ kind: 'output', animation, sampler }, held.values);
  } else if (held.kind === 'curve') addCurve(edit, clip, channel, node, held.keys);
  else if (clip.channels.length > 1) clip.channels.splice(channel, 1);
  // A clip has a channel at least (glTF 2.0, 5.5.channels).
  else addCurve(edit, clip, channel, node, atRest(held.rest));
  dropIdleSamplers(clip);
}

type Keys = Extract<Held, { kind: 'curve' }>['keys'];

function atRest(place: Vec3): Keys {
  return { times: Float32Array.of(0), translation: Float32Array.of(0, 0, 0, ...place, 0, 0, 0) };
}

function addCurve(
  edit: Editable,
  { channels, samplers }: Clip,
  channel: number,
  node: number,
  { times, translation }: Keys,
): void {
  // A spline has two keys at least (glTF 2.0, Appendix C).
  const isLone = times.length === 1;
  const output = edit.add('VEC3', isLone ? translation.slice(3, 6) : translation);
  const interpolation = isLone ? 'LINEAR' : 'CUBICSPLINE';
  const sampler = samplers.push({ input: addInput(edit, times), output, interpolation }) - 1;
  const known = channels[channel];
  if (known === undefined) channels.push({ sampler, target: { node, path: 'translation' } });
  else known.sampler = sampler;
}
