import { AssetError } from '../asset/errors.js';
import type { GltfChannel } from '../asset/gltf-types.js';
import type { Asset } from '../asset/load-asset.js';
import { denormalise } from './denormalise.js';
import type { Clip, ClipChannel } from './types.js';

/** Reads all clips of an asset. Throws AssetError where keys and values do not fit together. */
export function buildClips(asset: Asset): Clip[] {
  return asset.document.animations.map((animation, index) => ({
    index,
    name: animation.name ?? `clip ${index + 1}`,
    channels: animation.channels.map((channel, at) => {
      return buildChannel(asset, channel, `/animations/${index}/channels/${at}`);
    }),
  }));
}

/** The clips that pose the given nodes, with only those channels. */
export function clipsOf(clips: readonly Clip[], nodes: ReadonlySet<number>): Clip[] {
  return clips
    .map((clip) => ({
      ...clip,
      channels: clip.channels.filter((channel) => nodes.has(channel.node)),
    }))
    .filter((clip) => clip.channels.length > 0);
}

function buildChannel(asset: Asset, channel: GltfChannel, where: string): ClipChannel {
  const input = asset.decoded.get(channel.input);
  const output = asset.decoded.get(channel.output);
  if (input === undefined || output === undefined)
    throw new AssetError('the channel has no data', where);
  const size = channel.path === 'rotation' ? 4 : 3;
  const perKey = channel.interpolation === 'CUBICSPLINE' ? 3 : 1;
  if (input.size !== 1) throw new AssetError('the key times are not single numbers', where);
  if (output.size !== size)
    throw new AssetError(
      `${channel.path} takes ${size} numbers a value, not ${output.size}`,
      where,
    );
  if (output.count !== input.count * perKey) {
    throw new AssetError(
      `${input.count} key times need ${input.count * perKey} values, not ${output.count}`,
      where,
    );
  }
  return {
    node: channel.node,
    path: channel.path,
    interpolation: channel.interpolation,
    times: denormalise(input),
    values: denormalise(output),
    size,
  };
}
