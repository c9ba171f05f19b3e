import type { Clip, ClipChannel, ClipSource, NodeTable, Rig } from '../rig/types.js';
import type { ApprovedClip } from './scene.js';
import { straightClip } from './scene-clip.js';

/** A clip that was made for the approved rig, as both rigs play it. */
export interface ClipOnBoth {
  /** The file it is in, as people know it. */
  readonly source: string;
  readonly name: string;
  /** Its channels name nodes of the approved rig. */
  readonly onApproved: Clip;
  /** Its channels name nodes of the rig that is compared. */
  readonly onRig: Clip;
}

/**
 * Puts the clips of the approved asset onto both rigs. Nodes of another file are those of their name,
 * and `answers` gives the node of the rig for one of the approved rig, -1 for none. Keys stay as they
 * are: what they do on another skeleton is what is to be seen.
 */
export function clipsOnBoth(
  sources: readonly ClipSource[],
  approved: Rig,
  answers: (node: number) => number,
): ClipOnBoth[] {
  return sources.flatMap((source) => {
    const find = source.nodes === approved.nodes ? null : namesakes(source.nodes, approved.nodes);
    const moved = (clip: Clip, to: (node: number) => number): Clip => ({
      ...clip,
      channels: clip.channels.flatMap((channel): ClipChannel[] => {
        const node = to(channel.node);
        return node === -1 ? [] : [{ ...channel, node }];
      }),
    });
    return source.clips.map((clip) => {
      const onApproved = find === null ? clip : moved(clip, (node) => find[node] ?? -1);
      const onRig = moved(onApproved, answers);
      return { source: source.name, name: clip.name, onApproved, onRig };
    });
  });
}

/** The node of the same name for each node; -1 where the name is missing, or more than one has it. */
function namesakes(nodes: NodeTable, others: NodeTable): number[] {
  const [own, theirs] = [byName(nodes.names), byName(others.names)];
  return nodes.names.map((name, node) =>
    name !== null && own.get(name) === node ? (theirs.get(name) ?? -1) : -1,
  );
}

/** Where each name stands in a list; a name that stands in it twice tells nothing, and -1 says so. */
export function byName(names: readonly (string | null)[]): Map<string, number> {
  const places = new Map<string, number>();
  names.forEach((name, index) => {
    if (name !== null && name !== '') places.set(name, places.has(name) ? -1 : index);
  });
  return places;
}

/**
 * One clip for players, with the tracks of both: nodes of the rig count on from those of the approved
 * one. Null for a clip that poses neither.
 */
export function straightOnBoth(
  { source, name, onApproved, onRig }: ClipOnBoth,
  place: (node?: number) => number,
  placeOnRig: (node?: number) => number,
  approvedNodes: number,
): ApprovedClip | null {
  const [theirs, own] = [straightClip(onApproved, place), straightClip(onRig, placeOnRig)];
  const tracks = [
    ...theirs.tracks,
    ...own.tracks.map((track) => ({ ...track, node: approvedNodes + track.node })),
  ];
  if (tracks.length === 0) return null;
  return { name, from: source, duration: Math.max(theirs.duration, own.duration), tracks };
}
