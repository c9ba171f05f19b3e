import type { ClipChannel } from '../../rig/types.js';

/** Keys that differ by less are one to float32. Share of the largest number of a channel. */
const ROUNDING = 1e-6;

/** Whether a channel jumps from key to key. */
export function movesInSteps({ interpolation, values, size }: ClipChannel): boolean {
  if (interpolation !== 'STEP') return false;
  const same = ROUNDING * values.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  return values.some((value, at) => Math.abs(value - (values[at % size] ?? 0)) > same);
}

/**
 * Some exports store what never changes as steps between two keys that only rounding tells apart: one key
 * is left of those, since the slope of such a step is steep.
 */
export function withoutStillSteps(channel: ClipChannel): ClipChannel {
  const { interpolation, times, values, size } = channel;
  return interpolation !== 'STEP' || movesInSteps(channel)
    ? channel
    : { ...channel, times: times.subarray(0, 1), values: values.subarray(0, size) };
}
