import { isNamed, nodePath } from '../../rig/node-name.js';
import type { ApprovedAsset, ClipChannel, NodeTable, Rig, RigModel } from '../../rig/types.js';
import { fact } from '../facts.js';
import { branchNodes } from './clip-carry.js';
import { ClipNodes } from './clip-nodes.js';
import { prefixBetween, type StrayPrefix } from './clip-prefix.js';
import { countedNodes } from './clip-scope.js';
import { matching } from './matching.js';

/** Channels of clips that find no node in the rig they are for. */
export interface StrayChannels {
  /** How many channels were asked about, and how many find nothing. */
  readonly looked: number;
  readonly short: number;
  /** Names of the clips with such channels, in order, each once. */
  readonly clips: readonly string[];
  /** Names that the clips give to what they do not find, in order, each once. */
  readonly names: readonly string[];
  /** What stands before all of these names on one side alone. */
  readonly prefix: StrayPrefix | null;
  /** Where the paths begin, in the clips and in the rig; null where any channel is found. */
  readonly roots: { readonly clips: string; readonly rig: string } | null;
}

/**
 * Asks the clips that were made for the approved rig of this one, which go by the paths and names of
 * nodes. Left out are channels of the approved rig's joints that this rig lacks, or calls by another
 * name: that is told joint by joint (fit.missing). So are channels of nodes that belong to no approved
 * rig (cameras, props that stand alone), and those that leave their node as it is stored.
 */
export const strayChannels = fact((facts): StrayChannels | null => {
  const match = matching(facts);
  const { rig, approved: asset } = facts;
  if (match === null || asset === undefined) return null;
  const { approved } = match;
  const theirs = rigNodes(approved);
  const [ofRig, ofApproved] = [new ClipNodes(rig.nodes), new ClipNodes(approved.nodes, theirs)];
  const tally = new Tally(rig.nodes);
  for (const source of asset.asset.clips) {
    const isOwn = source.nodes === approved.nodes;
    for (const clip of source.clips) {
      for (const channel of clip.channels) {
        const node = isOwn ? channel.node : ofApproved.find(source.nodes, channel.node);
        if (!theirs.has(node)) continue;
        const isFound = ofRig.find(source.nodes, channel.node) !== -1;
        const isJoint = approved.joints.ofNode[node] !== -1;
        if (!isFound && (isJoint || isIdle(source.nodes, channel))) continue;
        tally.count(source.nodes, channel.node, clip.name, isFound);
      }
    }
  }
  return tally.strays(rig.joints.node[0]);
});

/**
 * Asks the clips of a file without a rig of the approved one. Nodes that stand apart from all that is
 * found (cameras, lights) are left out. Null where there is no approved rig.
 */
export function strayChannelsOf(model: RigModel, approved: ApprovedAsset): StrayChannels | null {
  const { nodes, rigs } = approved.model;
  const joints = new Set(rigs.flatMap((rig) => Array.from(rig.joints.node)));
  const [top] = joints;
  if (top === undefined) return null;
  const finder = new ClipNodes(nodes, new Set(rigs.flatMap((rig) => [...rigNodes(rig)])));
  const posed = new Set(model.clips.flatMap(({ keyed }) => [...keyed.keys()]));
  const found = new Map([...posed].map((node) => [node, finder.find(model.nodes, node)]));
  const answered = [...posed].filter((node) => joints.has(found.get(node) ?? -1));
  const counted = countedNodes(model.nodes, answered);
  const tally = new Tally(nodes);
  for (const { name, channels } of model.clips)
    for (const { node } of channels) {
      const isFound = found.get(node) !== -1;
      if (isFound || counted(node)) tally.count(model.nodes, node, name, isFound);
    }
  return tally.strays(top);
}

/** Nodes that belong to a rig: its joints, what is between, above and below them. */
export function rigNodes(rig: Rig): Set<number> {
  return new Set([...branchNodes(rig), ...new Set(rig.joints.spacers)].flat().concat(rig.holders));
}

/** Smaller changes are rounding. In the unit of the value. */
const STILL = 1e-6;

/** Whether a channel holds its node where it is stored. */
function isIdle(
  nodes: NodeTable,
  { node, path, size, interpolation, values }: ClipChannel,
): boolean {
  const stored = nodes[path].subarray(size * node, size * (node + 1));
  const isOff = (value: number, at: number): boolean =>
    Math.abs(value - (stored[at % size] ?? 0)) > STILL * Math.max(1, Math.abs(value));
  return interpolation !== 'CUBICSPLINE' && !values.some(isOff);
}

class Tally {
  private looked = 0;
  private short = 0;
  private readonly clips = new Set<string>();
  private readonly names = new Set<string>();
  private root: string | null = null;

  /** `nodes` are those of the rig that is asked. */
  constructor(private readonly nodes: NodeTable) {}

  count(from: NodeTable, node: number, clip: string, isFound: boolean): void {
    this.looked++;
    if (isFound) return;
    this.short++;
    this.clips.add(clip);
    const path = nodePath(from, node);
    const name = path.at(-1) ?? '';
    this.names.add(from.names[node] ?? name);
    this.root ??= path[0] ?? '';
  }

  strays(top: number | undefined): StrayChannels {
    const { looked, short, clips, names, root } = this;
    const own = top === undefined ? undefined : nodePath(this.nodes, top)[0];
    const isOther = short === looked && root !== null && own !== undefined && root !== own;
    return {
      looked,
      short,
      clips: [...clips],
      names: [...names],
      prefix: prefixBetween([...names], this.nodes.names.filter(isNamed)),
      roots: isOther ? { clips: root, rig: own } : null,
    };
  }
}
