import type { ClipChannel } from '../../rig/types.js';
import { differentTimes } from './clip-sampling.js';

/** When there are keys. Seconds; null for no key. */
export interface KeyTimes {
  readonly keys: number;
  readonly first: number | null;
  readonly last: number | null;
}

const known = new WeakMap<Float32Array, KeyTimes>();

/**
 * The keys of one channel, by its times. The first and the last are the least and the greatest: keys out
 * of order are a fault of the file, and change nothing here. Taken once for times that channels share, as
 * they do by the thousand.
 */
export function keyTimes(times: Float32Array): KeyTimes {
  const before = known.get(times);
  if (before !== undefined) return before;
  let [first, last] = [Infinity, -Infinity];
  for (const time of times) {
    if (time < first) first = time;
    if (time > last) last = time;
  }
  const isNone = times.length === 0;
  const taken = { keys: times.length, first: isNone ? null : first, last: isNone ? null : last };
  known.set(times, taken);
  return taken;
}

export interface ClipTimes extends KeyTimes {
  /** Seconds from the first key to the last. */
  readonly duration: number | null;
  /** Keys a second; null where they are not evenly spaced, or fewer than `FEWEST`. */
  readonly rate: number | null;
}

/** Any two times are evenly spaced. */
const FEWEST = 3;
/** Times are evenly spaced when none is farther off than this. Share of the space between two. */
const OFF_SHARE = 0.01;
/** Times are stored as float32, which has seven digits: 1/30 s gives 29.9999993 keys a second. */
const RATE_DIGITS = 6;

/** The keys of a clip, of all its channels. `keys` counts different times. */
export function clipTimes(channels: readonly ClipChannel[]): ClipTimes {
  const times = differentTimes(channels);
  const [first = null, last = null] = [times[0], times.at(-1)];
  const duration = first === null || last === null ? null : last - first;
  return { keys: times.length, first, last, duration, rate: rateOf(times) };
}

/** @param times Ascending, each once. */
function rateOf(times: readonly number[]): number | null {
  const [first = 0, last = 0] = [times[0], times.at(-1)];
  if (times.length < FEWEST) return null;
  const space = (last - first) / (times.length - 1);
  const isEven = times.every(
    (time, at) => Math.abs(time - (first + at * space)) <= OFF_SHARE * space,
  );
  return isEven ? Number((1 / space).toPrecision(RATE_DIGITS)) : null;
}
