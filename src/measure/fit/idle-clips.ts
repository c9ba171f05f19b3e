import type { ApprovedAsset } from '../../rig/types.js';
import { ClipNodes } from './clip-nodes.js';
import { rigNodes } from './clip-strays.js';

/** Clips of one file of a library that have nothing to do with the approved rig. */
export interface IdleClips {
  /** The file, as people know it. */
  readonly source: string;
  /** How many clips are in it. */
  readonly of: number;
  /** Names of those that pose nothing of the approved rig, in order. */
  readonly names: readonly string[];
}

/**
 * The clips of the library of which no channel finds a node of an approved rig: made for another
 * skeleton, it seems. They are asked of no candidate, and nobody would miss them.
 */
export function idleClips({ model, clips: sources }: ApprovedAsset): IdleClips[] {
  const nodes = new Set(model.rigs.flatMap((rig) => [...rigNodes(rig)]));
  const finder = new ClipNodes(model.nodes, nodes);
  return sources.flatMap((source) => {
    if (source.nodes === model.nodes) return [];
    const names = source.clips
      .filter(({ keyed }) => ![...keyed.keys()].some((at) => finder.find(source.nodes, at) !== -1))
      .map(({ name }) => name);
    return names.length === 0 ? [] : [{ source: source.name, of: source.clips.length, names }];
  });
}
