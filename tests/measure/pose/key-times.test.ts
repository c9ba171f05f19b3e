import { describe, expect, it } from 'vitest';
import { clipTimes, keyTimes } from '../../../src/measure/pose/key-times.js';
import type { ClipChannel } from '../../../src/rig/types.js';

function channelAt(times: Iterable<number>): ClipChannel {
  const stored = Float32Array.from(times);
  const values = new Float32Array(3 * stored.length);
  const path = 'translation' as const;
  return { node: 0, path, interpolation: 'LINEAR', times: stored, values, size: 3 };
}

/** Frames at a rate, as an exporter stores them. */
const frames = (count: number, rate: number, start = 0): number[] =>
  Array.from({ length: count }, (_, at) => start + at / rate);

describe('the keys of a channel', () => {
  it('are counted, and go from the least time to the greatest, whatever their order', () => {
    const times = Float32Array.from([0.5, 2, 0.25]);
    expect(keyTimes(times)).toEqual({ keys: 3, first: 0.25, last: 2 });
  });

  it('have no first and no last where there is none', () => {
    expect(keyTimes(new Float32Array(0))).toEqual({ keys: 0, first: null, last: null });
  });
});

describe('the keys of a clip', () => {
  it('are the different times of all its channels', () => {
    const channels = [channelAt([0, 1]), channelAt([0.5, 1, 4])];
    expect(clipTimes(channels)).toEqual({ keys: 4, first: 0, last: 4, duration: 4, rate: null });
  });

  it.each([24, 25, 29.97, 30, 60])('have a rate of %s a second where that is stored', (rate) => {
    expect(clipTimes([channelAt(frames(900, rate))]).rate).toBe(rate);
    expect(clipTimes([channelAt(frames(900, rate, 7)), channelAt([7])]).rate).toBe(rate);
  });

  it('have a rate that no one channel has, where all of them together are evenly spaced', () => {
    expect(clipTimes([channelAt([0, 1, 2]), channelAt([0.5, 1.5])]).rate).toBe(2);
  });

  it('have none where one key is off by more than a hundredth of a frame', () => {
    const off = (share: number): number[] =>
      frames(9, 24).map((t, at) => (at === 4 ? t + share / 24 : t));
    expect(clipTimes([channelAt(off(0.005))]).rate).toBe(24);
    expect(clipTimes([channelAt(off(0.02))]).rate).toBeNull();
  });

  it('have none where there are too few to tell, or none at all', () => {
    expect(clipTimes([channelAt([0, 1])])).toMatchObject({ keys: 2, duration: 1, rate: null });
    expect(clipTimes([channelAt([3])])).toMatchObject({
      first: 3,
      last: 3,
      duration: 0,
      rate: null,
    });
    expect(clipTimes([])).toEqual({ keys: 0, first: null, last: null, duration: null, rate: null });
  });
});
