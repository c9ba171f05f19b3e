import { arrayOf, isLoose, type Loose, objectsIn, pickObject } from './loose-json.js';
import type { AssetMutator } from './mutate-json.js';
import { anyNode } from './mutate-nodes.js';
import { oddText, oddValue } from './odd-values.js';

/** KHR_animation_pointer: a channel that leads to a property by its path. */
const pointers: AssetMutator = (draw, json) => {
  const animation = pickObject(draw, json, 'animations');
  const channel = pickObject(draw, animation, 'channels');
  if (channel === null) return null;
  const node = anyNode(draw, json);
  const pointer = draw.pick<unknown>([
    `/nodes/${node}/rotation`,
    `/nodes/${node}/translation`,
    `/nodes/${node}/scale`,
    `/nodes/${node}/weights`,
    `/nodes/${node}/matrix`,
    `/nodes/0${node}/rotation`,
    `/nodes/-1/rotation`,
    `/nodes/`,
    '/materials/0/pbrMetallicRoughness/baseColorFactor',
    oddText(draw),
    oddValue(draw),
  ]);
  const path = draw.chance(0.9) ? 'pointer' : 'rotation';
  channel.target = { path, extensions: { KHR_animation_pointer: { pointer } } };
  json.extensionsUsed = [...arrayOf(json.extensionsUsed), 'KHR_animation_pointer'];
  return `leads a channel to ${String(pointer).slice(0, 80)}`;
};

/** Keys that all copies of a clip add at most: the proof of a mend takes as long as there are keys. */
const MOST_KEYS = 200;

/** Keys of a clip's first channel. */
function keysOf(json: Loose, animation: Loose): number {
  const [channel, samplers] = [
    objectsIn(animation, 'channels')[0],
    objectsIn(animation, 'samplers'),
  ];
  const accessor = arrayOf(json.accessors)[Number(samplers[Number(channel?.sampler)]?.input)];
  const count = isLoose(accessor) ? Number(accessor.count) : 1;
  return Number.isInteger(count) ? Math.max(1, count) : 1;
}

/** Clips one after the other of what clips there are, under one name or many. */
const clips: AssetMutator = (draw, json) => {
  const animation = pickObject(draw, json, 'animations');
  if (animation === null) return null;
  const name = draw.chance(0.5) ? oddText(draw).slice(0, 300) : null;
  const channels = arrayOf(animation.channels).slice(0, 1);
  const count = Math.min(draw.pick([5, 50, 400]), Math.ceil(MOST_KEYS / keysOf(json, animation)));
  // They share one list of channels: as text that is as long, and it is made sooner.
  const copies = Array.from({ length: count }, (_, at) => ({
    ...animation,
    channels,
    name: name ?? `act_${at}`,
  }));
  const room = Math.floor(2_000_000 / (JSON.stringify(copies[0]) ?? '').length);
  json.animations = [...arrayOf(json.animations), ...copies.slice(0, room)];
  return `adds ${Math.min(room, count)} clips`;
};

export const CLIP_MUTATORS = [pointers, clips] as const;
