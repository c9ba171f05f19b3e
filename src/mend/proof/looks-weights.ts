import { pointerOf } from '../../asset/animation-pointer.js';
import { AssetError } from '../../asset/errors.js';
import type { Asset } from '../../asset/load-asset.js';
import type { Cursor } from '../../asset/narrow.js';
import { denormalise } from '../../rig/denormalise.js';
import type { ClipChannel } from '../../rig/types.js';

/** The channels that weigh the morph targets of skinned meshes: by clip, then by node. */
export type WeightTracks = ReadonlyMap<number, ReadonlyMap<number, ClipChannel>>;

/** Accessors of the channels that weigh morph targets. Throws AssetError. */
export function weightAccessors(root: Cursor): number[] {
  return tracksOf(root).flatMap(({ input, output }) => [input, output]);
}

/** Reads the channels that weigh morph targets. Throws AssetError where keys and values do not fit together. */
export function readWeightTracks(asset: Asset, root: Cursor): WeightTracks {
  const found = new Map<number, Map<number, ClipChannel>>();
  for (const { clip, node, input, output, interpolation, where } of tracksOf(root)) {
    const [keys, values] = [asset.decoded.get(input), asset.decoded.get(output)];
    if (keys === undefined || values === undefined) throw new Error(`${where} was not asked for`);
    const given = values.array.length;
    const each = keys.count * (interpolation === 'CUBICSPLINE' ? 3 : 1);
    if (keys.size !== 1 || given === 0 || given % each !== 0)
      throw new AssetError(`${keys.count} key times do not fit ${given} weights`, where);
    const byNode = found.get(clip) ?? new Map<number, ClipChannel>();
    found.set(clip, byNode);
    byNode.set(node, {
      node,
      // Weights are interpolated number by number, as the numbers of a translation are (glTF 2.0, Appendix C).
      path: 'translation',
      interpolation,
      times: denormalise(keys),
      values: denormalise(values),
      size: given / each,
    });
  }
  return found;
}

const INTERPOLATIONS = ['LINEAR', 'STEP', 'CUBICSPLINE'] as const;

function tracksOf(root: Cursor) {
  const accessors = root.at('accessors').length;
  const isSkinned = root.at('nodes').list((node) => !node.at('skin').missing);
  const tracks = root.at('animations').list((animation, clip) => {
    const samplers = animation.at('samplers').list((sampler) => sampler);
    return animation.at('channels').list((channel) => {
      const index = channel.at('sampler').index('sampler of this animation', samplers.length);
      const [sampler, node] = [
        samplers[index],
        weighedNode(channel.at('target'), isSkinned.length),
      ];
      if (sampler === undefined || node === null || isSkinned[node] !== true) return [];
      const track = {
        clip,
        node,
        input: sampler.at('input').index('accessor', accessors),
        output: sampler.at('output').index('accessor', accessors),
        interpolation: sampler
          .at('interpolation')
          .or(INTERPOLATIONS[0], (value) => value.oneOf(INTERPOLATIONS)),
        where: channel.pointer,
      };
      return [track];
    });
  });
  return tracks.flat(2);
}

/** The node whose morph targets a channel weighs, named plainly or by a pointer (KHR_animation_pointer). */
function weighedNode(target: Cursor, nodes: number): number | null {
  const pointed = NODE_WEIGHTS.exec(pointerOf(target.value) ?? '')?.[1];
  if (pointed !== undefined) return Number(pointed);
  if (target.at('path').value !== 'weights' || target.at('node').missing) return null;
  return target.at('node').index('node', nodes);
}

/** Indices have no leading zeros (RFC 6901, 4). */
const NODE_WEIGHTS = /^\/nodes\/(0|[1-9]\d*)\/weights$/;
