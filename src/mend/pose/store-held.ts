import type { Editable } from '../file/editable.js';
import { ownSampler } from '../file/sampler-values.js';
import { addInput, dropIdleSamplers } from '../reframe/new-curves.js';
import type { Held } from './held-bone.js';
import { type Channel, type Clip, channelOf, takeOffKeys } from './take-off-keys.js';

/** Gives the translation of a node other keys in one clip, or none. */
export function storeHeld(edit: Editable, node: number, animation: number, held: Held): void {
  if (held.kind === 'off') {
    takeOffKeys(edit, animation, { node, path: 'translation' }, held.rest);
    return;
  }
  const clip = edit.json.animations?.[animation];
  if (clip === undefined) return;
  const channel = channelOf(clip, { node, path: 'translation' });
  if (held.kind === 'curve') addCurve(edit, clip, channel, node, held.keys);
  else if (channel !== undefined) {
    const sampler = ownSampler(edit.json, animation, clip.channels.indexOf(channel));
    edit.write({ kind: 'output', animation, sampler }, held.values);
  }
  dropIdleSamplers(clip);
}

function addCurve(
  edit: Editable,
  { channels, samplers }: Clip,
  channel: Channel | undefined,
  node: number,
  { times, translation }: Extract<Held, { kind: 'curve' }>['keys'],
): void {
  // A spline has two keys at least (glTF 2.0, Appendix C).
  const isLone = times.length === 1;
  const output = edit.add('VEC3', isLone ? translation.slice(3, 6) : translation);
  const interpolation = isLone ? 'LINEAR' : 'CUBICSPLINE';
  const sampler = samplers.push({ input: addInput(edit, times), output, interpolation }) - 1;
  if (channel === undefined) channels.push({ sampler, target: { node, path: 'translation' } });
  else channel.sampler = sampler;
}
