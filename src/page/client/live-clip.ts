import {
  DiscreteInterpolant,
  type Interpolant,
  LinearInterpolant,
  QuaternionLinearInterpolant,
} from 'three';
import { visible } from '../../report/visible.js';
import type { PageClip, PageTrack } from '../page-data.js';
import { unpack } from './unpack.js';

/** A clip whose values can be asked for at any time. */
export interface LiveClip {
  readonly name: string;
  /** Seconds. */
  readonly duration: number;
  readonly tracks: readonly LiveTrack[];
}

export interface LiveTrack {
  readonly node: number;
  readonly path: PageTrack['path'];
  /** Three or, for a rotation, four numbers; held before the first key and after the last. */
  at(seconds: number): ArrayLike<number>;
}

export function makeClip({ name, duration, tracks }: PageClip): LiveClip {
  return { name: visible(name), duration, tracks: tracks.map(makeTrack) };
}

function makeTrack({ node, path, steps, times, values }: PageTrack): LiveTrack {
  const Between = steps
    ? DiscreteInterpolant
    : path === 'rotation'
      ? QuaternionLinearInterpolant
      : LinearInterpolant;
  // Clips that nobody plays are not unpacked.
  let interpolant: Interpolant | null = null;
  return {
    node,
    path,
    at(seconds) {
      interpolant ??= new Between(unpack(times), unpack(values), path === 'rotation' ? 4 : 3);
      return interpolant.evaluate(seconds);
    },
  };
}
