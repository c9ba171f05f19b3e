import { determinant3, mat4At } from '../../rig/mat4.js';
import type { ChannelPath, ClipChannel, NodeTable, Rig } from '../../rig/types.js';
import { fact } from '../facts.js';
import { ClipNodes } from './clip-nodes.js';
import { type Matching, matching } from './matching.js';

/** A channel of a clip as one rig takes it up. */
export interface Track {
  /** Place in the list of channels of the clip. */
  readonly channel: number;
  /** The node that it poses, in the rig's own table. */
  readonly node: number;
  readonly path: ChannelPath;
  /** What its values are multiplied with. */
  readonly factor: number;
}

/** One clip that was made for the approved rig, as both rigs play it. */
export interface CarriedClip {
  /** The file it is from, as people know it. */
  readonly source: string;
  readonly name: string;
  /** The channels of joints and of nodes between them; nodes are those of the clip's own file. */
  readonly channels: readonly ClipChannel[];
  readonly onApproved: readonly Track[];
  /** Those that find a node in this rig. */
  readonly onRig: readonly Track[];
}

/** More clips than this are not played. */
export const MOST_CLIPS = 500;
/** A rig that is larger or smaller by more than this is not taller: it is in another unit. Times. */
const MOST_GROWN = 2;
/** Nearer to 1 than this a scale is rounding, and keys stay as they are. */
const ROUNDING = 1e-4;

/**
 * The clips of the approved asset and of the library, put onto both skeletons; those without a channel
 * for a joint of this rig are left out. The first 500 are taken.
 *
 * Keys are local values of the approved rig, and stay what they are, as with any program that plays a
 * clip of one file on the nodes of another. Only moves are scaled, by what a joint of this rig has to
 * travel in its parent's frame for the same step: a taller puppet takes longer steps, and exports key
 * the length of every bone, which would shrink it to the approved size. Where the two are more than
 * twice apart they are in different units, which nobody scales unasked: there the keys stay as they are,
 * and what they do is shown. What a clip does to nodes above the joints is left out, since it moves the
 * whole of both.
 */
export const carriedClips = fact((facts): readonly CarriedClip[] => {
  const match = matching(facts);
  const { approved: asset, rig } = facts;
  if (match === null || asset === undefined) return [];
  const posable = skeletonNodes(match.approved);
  const toRig = answers(match, rig, posable);
  const finder = new ClipNodes(match.approved.nodes, posable);
  const factors = new Map<number, number>();
  const factorOf = (node: number, own: number): number => {
    const known = factors.get(node) ?? moveScale(match, node, rig, own);
    factors.set(node, known);
    return known;
  };
  const carried: CarriedClip[] = [];
  for (const source of asset.asset.clips) {
    const isOwn = source.nodes === match.approved.nodes;
    for (const clip of source.clips) {
      if (carried.length === MOST_CLIPS) return carried;
      const nodeOf = ({ node }: ClipChannel): number =>
        isOwn ? node : finder.find(source.nodes, node);
      const channels = clip.channels.filter((channel) => posable.has(nodeOf(channel)));
      const onApproved = channels.map((channel, at): Track => {
        return { channel: at, node: nodeOf(channel), path: channel.path, factor: 1 };
      });
      const onRig = onApproved.flatMap((track): Track[] => {
        const node = toRig.get(track.node);
        if (node === undefined) return [];
        const factor = track.path === 'translation' ? factorOf(track.node, node) : 1;
        return [{ ...track, node, factor }];
      });
      if (onRig.length === 0) continue;
      carried.push({ source: source.name, name: clip.name, channels, onApproved, onRig });
    }
  }
  return carried;
});

/** The joints of a rig, and the nodes between them. */
export function skeletonNodes({ joints }: Rig): Set<number> {
  return new Set([...joints.node, ...new Set(joints.spacers)].flat());
}

/** The node of this rig for each of the approved skeleton: as joints are matched, else by its name. */
function answers(
  { approved, ofApproved }: Matching,
  rig: Rig,
  posable: ReadonlySet<number>,
): Map<number, number> {
  const found = new Map<number, number>();
  for (const [joint, own] of ofApproved.entries())
    if (own !== -1) found.set(approved.joints.node[joint] ?? -1, rig.joints.node[own] ?? -1);
  // A tip can be a node still that the skin no longer lists.
  const taken = new Set(found.values());
  const finder = new ClipNodes(rig.nodes, branchNodes(rig));
  for (const node of posable) {
    if (found.has(node)) continue;
    const own = finder.find(approved.nodes, node);
    if (own === -1 || taken.has(own)) continue;
    found.set(node, own);
    taken.add(own);
  }
  return found;
}

/** All nodes at and below the topmost joints, joints or not, parents first. */
export function branchNodes({ nodes, joints }: Rig): number[] {
  const inside = new Uint8Array(nodes.count);
  return Array.from(nodes.order).filter((node) => {
    const isIn = joints.ofNode[node] !== -1 || inside[nodes.parent[node] ?? -1] === 1;
    inside[node] = isIn ? 1 : 0;
    return isIn;
  });
}

/** What a move of a node of the approved rig is multiplied with to be the same step here. */
function moveScale({ approved, scale }: Matching, node: number, rig: Rig, own: number): number {
  const factor = (scale * unitAbove(approved.nodes, node)) / unitAbove(rig.nodes, own);
  const isGrowth = factor <= MOST_GROWN && factor >= 1 / MOST_GROWN;
  return isGrowth && Math.abs(factor - 1) > ROUNDING ? factor : 1;
}

/** World length of one unit of the frame that a node hangs in, as stored. */
function unitAbove({ parent, world }: NodeTable, node: number): number {
  const above = parent[node] ?? -1;
  return above === -1 ? 1 : Math.cbrt(Math.abs(determinant3(mat4At(world, above))));
}
