import { AssetError } from '../asset/errors.js';
import type { GltfChannel, Interpolation } from '../asset/gltf-types.js';
import type { Asset } from '../asset/load-asset.js';
import { denormalise, firstImmeasurable } from './denormalise.js';
import { groupBy } from './group-by.js';
import type { Clip, ClipChannel } from './types.js';

/** Makes the clips of an asset from its channels. Throws AssetError where keys and values do not fit together, or are no numbers. */
export function buildClips(asset: Asset): Clip[] {
  // Clips can share accessors by the thousand.
  const checked = new Set<number>();
  return asset.document.animations.map(({ name, channels }, index) => ({
    index,
    name: name ?? `clip ${index + 1}`,
    channels: channels.map((channel, place) => {
      const { input, output, path, interpolation } = channel;
      const built = buildChannel(asset, channel, `/animations/${index}/channels/${place}`);
      if (!checked.has(input)) refuseImmeasurable(built.times, 1, 'time', input);
      if (!checked.has(output)) {
        const perKey = built.size * valuesPerKey(interpolation);
        refuseImmeasurable(built.values, perKey, path, output);
      }
      checked.add(input).add(output);
      return built;
    }),
    keyed: new Map(
      [...groupBy(channels, ({ node }) => node)].map(([node, ofNode]) => [
        node,
        new Set(ofNode.map(({ path }) => path)),
      ]),
    ),
  }));
}

/** With CUBICSPLINE: in-tangent, value, out-tangent (glTF 2.0, Appendix C). */
function valuesPerKey(interpolation: Interpolation): number {
  return interpolation === 'CUBICSPLINE' ? 3 : 1;
}

function refuseImmeasurable(
  numbers: Float32Array,
  perKey: number,
  what: string,
  accessor: number,
): void {
  const index = firstImmeasurable(numbers);
  if (index === -1) return;
  const value = numbers[index] ?? 0;
  const key = Math.floor(index / perKey);
  const found = Number.isFinite(value) ? 'larger than can be measured' : String(value);
  throw new AssetError(
    `the ${what} of key ${key} of a clip is ${found}`,
    `/accessors/${accessor}, key ${key}`,
  );
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

/** Throws AssetError where key times and values do not fit together (glTF 2.0, 3.11 Animations). */
function buildChannel({ decoded }: Asset, channel: GltfChannel, where: string): ClipChannel {
  const { node, path, interpolation } = channel;
  const [input, output] = [decoded.get(channel.input), decoded.get(channel.output)];
  const fail = (reason: string): never => {
    throw new AssetError(reason, where);
  };
  if (input === undefined || output === undefined) return fail('the channel has no data');
  const size = path === 'rotation' ? 4 : 3;
  if (input.size !== 1) fail('the key times are not single numbers');
  if (output.size !== size)
    fail(`${path} needs ${size} numbers for each value, not ${output.size}`);
  const needed = input.count * valuesPerKey(interpolation);
  if (output.count !== needed)
    fail(`${input.count} key times need ${needed} values, not ${output.count}`);
  const [times, values] = [denormalise(input), denormalise(output)];
  return { node, path, interpolation, times, values, size };
}
