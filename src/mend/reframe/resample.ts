import { decompose, skew, type Trs } from '../../rig/decompose.js';
import type { Mat4 } from '../../rig/mat4.js';
import { EVEN } from '../carry/frame-change.js';
import { keepUnits } from './unit-rotation.js';

/** A local transform as a function of time in seconds; smooth between the given times. */
type Motion = (time: number) => Mat4;

/** Keys of a cubic spline (glTF 2.0, C.5): in-tangent, value, out-tangent for each time. */
export interface SplineKeys extends Readonly<Record<keyof Trs, Float32Array>> {
  readonly times: Float32Array;
  /** Largest distance that the splines are off the motion between keys, in units of the rig. */
  readonly off: number;
}

/** Numbers of a translation, a rotation and a scale together: 3, 4 and 3. */
const SIZE = 10;

/** The motion at one time; NaN where it has a skew. */
interface Sample {
  readonly time: number;
  readonly value: Float64Array;
}

/** With its tangents. */
interface Key extends Sample {
  readonly before: Float64Array;
  after: Float64Array;
}

/** How often an interval is halved before the motion counts as one that cannot be followed. */
const DEPTH = 9;

/** Share of an interval over which a slope is taken: small, but large beside what float64 leaves. */
const STEP = 1e-4;

/**
 * Follows a motion by cubic splines, with as many keys as they need: intervals between the given times
 * are halved until no spline is farther off than `tolerance`, a turn counted over `reach`. Null where
 * that cannot be.
 *
 * @param times Ascending; the motion may have kinks at them and nowhere else.
 */
export function follow(
  motion: Motion,
  times: readonly number[],
  tolerance: number,
  reach: number,
): SplineKeys | null {
  const [first, ...later] = times;
  if (first === undefined) return null;
  const zero = new Float64Array(SIZE);
  let last: Key = { ...sampleAt(motion, first, null), before: zero, after: zero };
  if (last.value.some(Number.isNaN)) return null;
  const keys = [last];
  let off = 0;
  const addSpan = (from: Sample, to: Sample, depth: number): boolean => {
    const [slope0, slope1] = [slopeAt(motion, from, to, 1), slopeAt(motion, from, to, -1)];
    const miss = missOf(motion, from, to, slope0, slope1, reach);
    const middle = Math.fround((from.time + to.time) / 2);
    if (miss > tolerance && depth < DEPTH && middle > from.time && middle < to.time) {
      const half = sampleAt(motion, middle, from.value);
      const end = { ...to, value: near(to.value, half.value) };
      return addSpan(from, half, depth + 1) && addSpan(half, end, depth + 1);
    }
    if (miss > tolerance) return false;
    off = Math.max(off, miss);
    last.after = slope0;
    last = { time: to.time, value: near(to.value, from.value), before: slope1, after: zero };
    keys.push(last);
    return true;
  };
  for (const time of later) if (!addSpan(last, sampleAt(motion, time, last.value), 0)) return null;
  const channel = (start: number, size: number): Float32Array =>
    Float32Array.from(
      keys.flatMap(({ value, before, after }) =>
        [before, value, after].flatMap((part) => [...part.subarray(start, start + size)]),
      ),
    );
  return {
    times: Float32Array.from(keys, ({ time }) => time),
    translation: channel(0, 3),
    rotation: keepUnits(channel(3, 4), true),
    scale: channel(7, 3),
    off,
  };
}

/** @param like What the rotation is to be near: the same turn has two quaternions. */
function sampleAt(motion: Motion, time: number, like: Float64Array | null): Sample {
  const local = motion(time);
  // No T R S is skewed, so nothing that is mixed of any is near.
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

/** One-sided slope at the start (side 1) or the end (side -1) of an interval, by three points. */
function slopeAt(motion: Motion, from: Sample, to: Sample, side: 1 | -1): Float64Array {
  const { time, value: start } = side === 1 ? from : to;
  const step = side * STEP * (to.time - from.time);
  const { value: next } = sampleAt(motion, time + step, start);
  const { value: later } = sampleAt(motion, time + 2 * step, start);
  return start.map((value, i) => (-3 * value + 4 * (next[i] ?? 0) - (later[i] ?? 0)) / (2 * step));
}

/** How far a spline is off the motion, at most, at three times within an interval. */
function missOf(
  motion: Motion,
  from: Sample,
  to: Sample,
  slope0: Float64Array,
  slope1: Float64Array,
  reach: number,
): number {
  let most = 0;
  const span = to.time - from.time;
  for (const u of [0.25, 0.5, 0.75]) {
    const { value: real } = sampleAt(motion, from.time + u * span, from.value);
    const [u2, u3] = [u * u, u * u * u];
    const spline = real.map(
      (_, i) =>
        (2 * u3 - 3 * u2 + 1) * (from.value[i] ?? 0) +
        (u3 - 2 * u2 + u) * span * (slope0[i] ?? 0) +
        (-2 * u3 + 3 * u2) * (to.value[i] ?? 0) +
        (u3 - u2) * span * (slope1[i] ?? 0),
    );
    const size = Math.hypot(...spline.subarray(3, 7));
    const distance = (start: number, end: number, unit = 1): number => {
      let sum = 0;
      for (let i = start; i < end; i++) sum += ((spline[i] ?? 0) / unit - (real[i] ?? 0)) ** 2;
      return Math.sqrt(sum);
    };
    // A quaternion moves by half the angle of its turn.
    const miss = distance(0, 3) + 2 * reach * distance(3, 7, size) + reach * distance(7, 10);
    most = Math.max(most, Number.isNaN(miss) ? Infinity : miss);
  }
  return most;
}
