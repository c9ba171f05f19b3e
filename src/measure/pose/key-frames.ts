import type { Clip } from '../../rig/types.js';

/** A key that does not lie on a frame. */
export interface OffFrame {
  readonly seconds: number;
  /** Distance from the nearest frame. Percent of a frame. */
  readonly percent: number;
}

/**
 * A time is stored as a 32-bit float, and so is what an exporter adds it up from: this share of it is
 * rounding (24 bits of significand by IEEE 754, and two bits for sums).
 */
const ROUNDING = 2 ** -22;

/** The key of a clip that is farthest from a frame; the first of several. Null where it has no key. */
export function worstKey({ channels }: Clip, rate: number): OffFrame | null {
  let worst: OffFrame | null = null;
  // Channels often share their times.
  for (const times of new Set(channels.map((channel) => channel.times))) {
    for (const seconds of times) {
      const frame = seconds * rate;
      const off = Math.abs(frame - Math.round(frame)) - Math.abs(frame) * ROUNDING;
      const percent = 100 * Math.max(0, off);
      if (worst === null || percent > worst.percent) worst = { seconds, percent };
    }
  }
  return worst;
}
