import type { ApprovedAsset } from '../../rig/types.js';
import { ClipNodes } from './clip-nodes.js';
import { rigNodes, strayChannelsOf } from './clip-strays.js';

/** What of one file of a library has nothing to do with the approved rig. */
export interface IdleClips {
  /** The file, as people know it. */
  readonly source: string;
  /** How many clips are in it. */
  readonly of: number;
  /** Names of those that pose nothing of the approved rig, in order. */
  readonly names: readonly string[];
  /** Channels of all its clips, and those of them that pose nothing there. */
  readonly channels: number;
  readonly stray: number;
  /** Names of what those pose, in order, each once. */
  readonly strayNames: readonly string[];
}

/**
 * The files of the library with a clip of which no channel finds a node of an approved rig, and those
 * with channels that find none: few, where a name is wrong, or most, where the clips were made for another
 * skeleton. No candidate lacks what they pose, so that nobody would hear of it.
 */
export function idleClips(asset: ApprovedAsset): IdleClips[] {
  const { model, clips: sources } = asset;
  const nodes = new Set(model.rigs.flatMap((rig) => [...rigNodes(rig)]));
  const finder = new ClipNodes(model.nodes, nodes);
  return sources.flatMap((source) => {
    if (source.nodes === model.nodes) return [];
    const { name, clips } = source;
    const names = clips
      .filter(({ keyed }) => ![...keyed.keys()].some((at) => finder.find(source.nodes, at) !== -1))
      .map((clip) => clip.name);
    const strays = strayChannelsOf({ rigs: [], nodes: source.nodes, clips }, asset);
    const { looked: channels = 0, short: stray = 0, names: strayNames = [] } = strays ?? {};
    const isIdle = names.length > 0 || stray > 0;
    return isIdle ? [{ source: name, of: clips.length, names, channels, stray, strayNames }] : [];
  });
}
