import {
  DiscreteInterpolant,
  type Interpolant,
  LinearInterpolant,
  QuaternionLinearInterpolant,
} from 'three';
import { visible } from '../../report/visible.js';
import type { PageApprovedClip, PageClip, PageTrack } from '../page-data.js';
import { unpack } from './unpack.js';

export type LiveClip = ReturnType<typeof makeClip>;

/**
 * Makes a clip whose values can be asked for at any time, of its tracks for some nodes: those from the
 * first of a range to before its end, counted from the first.
 */
export function makeClip(
  { name, duration, tracks, from, worst = null }: PageClip & Partial<PageApprovedClip>,
  [first, end]: readonly [number, number] = [0, Infinity],
) {
  return {
    name: visible(from === undefined ? name : `${name}, of ${from}`),
    /** As findings name it. */
    plainName: visible(name),
    /** Whether it was made for the approved rig. */
    isApproved: from !== undefined,
    /** When it shows the rig farthest from the approved one; null for a clip of its own. */
    worst,
    duration,
    tracks: tracks
      .filter(({ node }) => node >= first && node < end)
      .map((track) => makeTrack({ ...track, node: track.node - first })),
  };
}

function makeTrack({ node, path, steps, times, values }: PageTrack) {
  const [Smooth, size] =
    path === 'rotation'
      ? ([QuaternionLinearInterpolant, 4] as const)
      : ([LinearInterpolant, 3] as const);
  const Between = steps ? DiscreteInterpolant : Smooth;
  // Clips that nobody plays are not unpacked.
  let interpolant: Interpolant | null = null;
  return {
    node,
    path,
    /** The times of its keys, in seconds. */
    keys: () => unpack(times),
    /** Three or, for a rotation, four numbers; kept before the first key and after the last. */
    at(seconds: number): ArrayLike<number> {
      interpolant ??= new Between(unpack(times), unpack(values), size);
      return interpolant.evaluate(seconds);
    },
  };
}
