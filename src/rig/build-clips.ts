import { AssetError } from '../asset/errors.js';
import { type ChannelPath, type GltfChannel, TYPE_COMPONENTS } from '../asset/gltf-types.js';
import type { Asset } from '../asset/load-asset.js';
import { denormalise } from './denormalise.js';
import type { Clip, ClipChannel } from './types.js';

/** Makes the clips of an asset from its channels. Throws AssetError where keys and values do not fit together, or are no numbers. */
export function buildClips(asset: Asset): Clip[] {
  const held = new Set<number>();
  return asset.document.animations.map((animation, index) => ({
    index,
    name: animation.name ?? `clip ${index + 1}`,
    channels: animation.channels.map((channel, at) => {
      const where = `/animations/${index}/channels/${at}`;
      checkShapes(asset, channel, where);
      const built = buildChannel(asset, channel, where);
      // Clips can share accessors by the thousand.
      if (!held.has(channel.input)) refuseImmeasurable(built.times, 1, 'time', channel.input);
      if (!held.has(channel.output)) {
        const cubic = channel.interpolation === 'CUBICSPLINE';
        const perKey = built.size * (cubic ? 3 : 1);
        refuseImmeasurable(built.values, perKey, channel.path, channel.output);
      }
      held.add(channel.input).add(channel.output);
      return built;
    }),
    keyed: keyedPaths(animation.channels),
  }));
}

/** Beyond this, sums of keys overflow; no unit of length or time needs it. */
const LARGEST = 1e31;

/** glTF 2.0, 3.6.2.2 Accessor Data Types: NaN and infinities MUST NOT be present. */
function refuseImmeasurable(
  numbers: Float32Array,
  perKey: number,
  what: string,
  accessor: number,
): void {
  for (let i = 0; i < numbers.length; i++) {
    const value = numbers[i] ?? 0;
    // Also false for NaN.
    if (Math.abs(value) <= LARGEST) continue;
    const key = Math.floor(i / perKey);
    const found = Number.isFinite(value) ? 'larger than can be measured' : String(value);
    throw new AssetError(
      `the ${what} of key ${key} of a clip is ${found}`,
      `/accessors/${accessor}, key ${key}`,
    );
  }
}

function keyedPaths(channels: readonly GltfChannel[]): Map<number, Set<ChannelPath>> {
  const keyed = new Map<number, Set<ChannelPath>>();
  for (const { node, path } of channels) {
    const paths = keyed.get(node);
    if (paths === undefined) keyed.set(node, new Set([path]));
    else paths.add(path);
  }
  return keyed;
}

/** The clips that pose the given nodes, with only those channels that do. */
export function clipsOf(clips: readonly Clip[], nodes: ReadonlySet<number>): Clip[] {
  return clips
    .filter((clip) => [...clip.keyed.keys()].some((node) => nodes.has(node)))
    .map((clip) => ({
      ...clip,
      channels: clip.channels.filter((channel) => nodes.has(channel.node)),
    }));
}

/** Key times and values must fit together (glTF 2.0, 3.11 Animations). */
function checkShapes({ document }: Asset, channel: GltfChannel, where: string): void {
  const [input, output] = [document.accessors[channel.input], document.accessors[channel.output]];
  if (input === undefined || output === undefined)
    throw new AssetError('the channel has no data', where);
  const size = channel.path === 'rotation' ? 4 : 3;
  const given = TYPE_COMPONENTS[output.type];
  if (input.type !== 'SCALAR') throw new AssetError('the key times are not single numbers', where);
  if (given !== size) {
    throw new AssetError(
      `${channel.path} needs ${size} numbers for each value, not ${given}`,
      where,
    );
  }
  const needed = input.count * (channel.interpolation === 'CUBICSPLINE' ? 3 : 1);
  if (output.count !== needed) {
    throw new AssetError(
      `${input.count} key times need ${needed} values, not ${output.count}`,
      where,
    );
  }
}

function buildChannel(asset: Asset, channel: GltfChannel, where: string): ClipChannel {
  const input = asset.decoded.get(channel.input);
  const output = asset.decoded.get(channel.output);
  if (input === undefined || output === undefined)
    throw new AssetError('the channel has no data', where);
  return {
    node: channel.node,
    path: channel.path,
    interpolation: channel.interpolation,
    times: denormalise(input),
    values: denormalise(output),
    size: output.size,
  };
}
