import { decompose, skew } from '../../rig/decompose.js';
import type { Mat4 } from '../../rig/mat4.js';
import { EVEN } from '../carry/frame-change.js';

/** A local transform as a function of time in seconds; smooth between the given times. */
export type Motion = (time: number) => Mat4;

/** Keys of a cubic spline (glTF 2.0, C.5): in-tangent, value, out-tangent for each time. */
export interface SplineKeys {
  readonly times: Float32Array;
  readonly translation: Float32Array;
  readonly rotation: Float32Array;
  readonly scale: Float32Array;
  /** Largest distance that the splines are off the motion between keys, in units of the rig. */
  readonly off: number;
}

interface Spot {
  readonly time: number;
  /** Translation, rotation, scale: 3, 4 and 3 numbers. */
  readonly value: Float64Array;
}

/** Splits of one interval in two, over and over, before the motion counts as one that cannot be followed. */
const DEPTH = 9;

/** Share of an interval over which a slope is taken: small beside it, large beside what float64 leaves. */
const STEP = 1e-4;

/**
 * Follows a motion by cubic splines, with as many keys as they need: intervals between the given times
 * are halved until no spline is farther off than `tolerance`, a turn counted over `reach`.
 *
 * @param times Ascending; the motion may have kinks at them and nowhere else.
 */
export function follow(
  motion: Motion,
  times: readonly number[],
  tolerance: number,
  reach: number,
): SplineKeys | null {
  const keys: { time: number; value: Float64Array; before: Float64Array; after: Float64Array }[] =
    [];
  let off = 0;
  const first = times[0];
  if (first === undefined) return null;
  const zero = new Float64Array(SIZE);
  const begin = spotAt(motion, first, null);
  if (begin.value.some(Number.isNaN)) return null;
  keys.push({ time: first, value: begin.value, before: zero, after: zero });
  const span = (from: Spot, to: Spot, depth: number): boolean => {
    const [slope0, slope1] = [slopeAt(motion, from, to, 1), slopeAt(motion, from, to, -1)];
    const miss = missOf(motion, from, to, slope0, slope1, reach);
    const middle = Math.fround((from.time + to.time) / 2);
    if (miss > tolerance && depth < DEPTH && middle > from.time && middle < to.time) {
      const half = spotAt(motion, middle, from.value);
      return (
        span(from, half, depth + 1) &&
        span(half, { ...to, value: near(to.value, half.value) }, depth + 1)
      );
    }
    if (miss > tolerance) return false;
    off = Math.max(off, miss);
    const last = keys.at(-1);
    if (last !== undefined) last.after = slope0;
    keys.push({ time: to.time, value: near(to.value, from.value), before: slope1, after: zero });
    return true;
  };
  for (const time of times.slice(1)) {
    const last = keys.at(-1);
    if (last === undefined) return null;
    const to = spotAt(motion, time, last.value);
    if (!span(last, to, 0)) return null;
  }
  const channel = (start: number, size: number): Float32Array =>
    Float32Array.from(
      keys.flatMap(({ value, before, after }) =>
        [before, value, after].flatMap((part) => [...part.subarray(start, start + size)]),
      ),
    );
  return {
    times: Float32Array.from(keys, ({ time }) => time),
    translation: channel(0, 3),
    rotation: channel(3, 4),
    scale: channel(7, 3),
    off,
  };
}

const SIZE = 10;

function spotAt(motion: Motion, time: number, like: Float64Array | null): Spot {
  const local = motion(time);
  // No T R S holds a skewed one, so that nothing that is mixed of it is near.
  if (skew(local) > EVEN) return { time, value: new Float64Array(SIZE).fill(Number.NaN) };
  const { translation, rotation, scale } = decompose(local);
  const value = Float64Array.of(...translation, ...rotation, ...scale);
  return { time, value: like === null ? value : near(value, like) };
}

/** The same turn by the quaternion that is nearer. */
function near(value: Float64Array, like: Float64Array): Float64Array {
  let cosine = 0;
  for (let i = 3; i < 7; i++) cosine += (value[i] ?? 0) * (like[i] ?? 0);
  if (cosine >= 0) return value;
  return value.map((part, i) => (i >= 3 && i < 7 ? -part : part));
}

/** One-sided slope at the start (way 1) or the end (way -1) of an interval, by three points. */
function slopeAt(motion: Motion, from: Spot, to: Spot, way: 1 | -1): Float64Array {
  const at = way === 1 ? from : to;
  const step = way * STEP * (to.time - from.time);
  const [one, two] = [
    spotAt(motion, at.time + step, at.value).value,
    spotAt(motion, at.time + 2 * step, at.value).value,
  ];
  return at.value.map((value, i) => (-3 * value + 4 * (one[i] ?? 0) - (two[i] ?? 0)) / (2 * step));
}

function missOf(
  motion: Motion,
  from: Spot,
  to: Spot,
  slope0: Float64Array,
  slope1: Float64Array,
  reach: number,
): number {
  let most = 0;
  const span = to.time - from.time;
  for (const u of [0.25, 0.5, 0.75]) {
    const real = spotAt(motion, from.time + u * span, from.value).value;
    const [u2, u3] = [u * u, u * u * u];
    const made = real.map(
      (_, i) =>
        (2 * u3 - 3 * u2 + 1) * (from.value[i] ?? 0) +
        (u3 - 2 * u2 + u) * span * (slope0[i] ?? 0) +
        (-2 * u3 + 3 * u2) * (to.value[i] ?? 0) +
        (u3 - u2) * span * (slope1[i] ?? 0),
    );
    const size = Math.hypot(...made.subarray(3, 7));
    const way = (start: number, end: number, by: number): number => {
      let sum = 0;
      for (let i = start; i < end; i++) sum += ((made[i] ?? 0) / by - (real[i] ?? 0)) ** 2;
      return Math.sqrt(sum);
    };
    // A quaternion goes half the way of its turn.
    const miss = way(0, 3, 1) + 2 * reach * way(3, 7, size) + reach * way(7, 10, 1);
    most = Math.max(most, Number.isNaN(miss) ? Infinity : miss);
  }
  return most;
}
