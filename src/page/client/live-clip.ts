import {
  DiscreteInterpolant,
  type Interpolant,
  LinearInterpolant,
  QuaternionLinearInterpolant,
} from 'three';
import { visible } from '../../report/visible.js';
import type { PageClip, PageTrack } from '../page-data.js';
import { unpack } from './unpack.js';

/** Makes a clip whose values can be asked for at any time. */
export function makeClip({ name, duration, tracks }: PageClip) {
  return { name: visible(name), duration, tracks: tracks.map(makeTrack) };
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
    /** Three or, for a rotation, four numbers; kept before the first key and after the last. */
    at(seconds: number): ArrayLike<number> {
      interpolant ??= new Between(unpack(times), unpack(values), size);
      return interpolant.evaluate(seconds);
    },
  };
}
