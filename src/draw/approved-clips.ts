import type { CarriedClip, Track } from '../measure/fit/clip-carry.js';
import type { ClipChannel } from '../rig/types.js';
import type { ApprovedClip, SceneClip, SceneMoment } from './scene.js';
import { straightClip } from './scene-clip.js';

/**
 * One clip for players, with the tracks of both rigs: nodes of the rig count on from those of the
 * approved one. `place` and `placeOnRig` give the index of a node in the scene.
 */
export function straightOnBoth(
  { source, name, channels, onApproved, onRig }: CarriedClip,
  place: (node?: number) => number,
  placeOnRig: (node?: number) => number,
  approvedNodes: number,
  worst: SceneMoment | null,
): ApprovedClip {
  const straight = (tracks: readonly Track[], to: (node?: number) => number): SceneClip =>
    straightClip({ name, channels: tracks.flatMap((track) => carried(channels, track)) }, to);
  const [theirs, own] = [straight(onApproved, place), straight(onRig, placeOnRig)];
  const tracks = [
    ...theirs.tracks,
    ...own.tracks.map((track) => ({ ...track, node: approvedNodes + track.node })),
  ];
  const duration = Math.max(theirs.duration, own.duration);
  return { name, from: source, worst, duration, tracks };
}

function carried(
  channels: readonly ClipChannel[],
  { channel, node, factor }: Track,
): ClipChannel[] {
  const taken = channels[channel];
  if (taken === undefined) return [];
  const values = factor === 1 ? taken.values : taken.values.map((value) => factor * value);
  return [{ ...taken, node, values }];
}
